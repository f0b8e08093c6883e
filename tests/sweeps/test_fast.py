"""Rows costed together come to what a costing of their own, as a document, comes to."""

import json
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.analysis.inputs import allowed_at, is_number, known_of
from service.costing import result
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.overrides import with_settings
from service.demo import demo_document
from service.reports.tables.figure_paths import system_figures
from service.reports.tables.single_figure import figure_of
from service.sweeps import chunk
from service.sweeps.fast import worked_together
from service.sweeps.figures import BY_DRAW
from service.sweeps.records import FarmRow, SweepSpec
from service.web.reading import scenario_of
from tests.analysis.hand_farm import hand_farm
from tests.analysis.two_systems import subject_of
from tests.sweeps.farms import rows

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
SAME = 1e-9
FIGURES = tuple(BY_DRAW)


def document_of(name):
    if name == "demo":
        return demo_document()
    return json.loads((FARMS / f"{name}.json").read_text("utf-8"))


@cache
def inputs_of(name):
    """Return the numbers of a farm that may be changed, with value and allowed range."""
    known = known_of(subject_of(document_of(name)))
    found = {}
    for path, value in known.values.items():
        allowed = allowed_at(path, known.values)
        if is_number(value) and allowed is not None and allowed.is_number:
            found[path] = (float(value), allowed)
    return found


@pytest.fixture
def without_guesses(monkeypatch):
    """Leave out what to check first: it is no figure, and most of the time of a document."""
    monkeypatch.setattr(result, "check_first_of", lambda _: [])


def alone(document, row):
    """Return the figures of a costing of its own by system, or the first sentence against it."""
    try:
        costing = cost(scenario_of(with_settings(document, row)))
    except InputError as error:
        return error.faults[0].detail
    body = result.costing_document(costing)
    _, values = system_figures(body)
    found = {}
    for system, own in zip(body["systems"], values, strict=True):
        total = sum(system["quantities"]["acres_damaged"].values())
        found[system["system"]] = {**own, "quantities.acres_damaged.total": total}
    return found


@pytest.fixture(autouse=True)
def together(caplog):
    """See to it that no comparison is one of rows that fell back to a costing of their own."""
    yield
    said = [record.getMessage() for record in caplog.get_records("call")]
    assert [message for message in said if "together" in message] == []


def assert_same(spec):
    found = rows(spec)
    for number, farm in enumerate(spec.farms, start=1):
        mine = [row for row in found if int(row["row"]) == number]
        expected = alone(spec.document, farm.set)
        if isinstance(expected, str):
            assert [row["problem"] for row in mine] == [expected]
            continue
        assert [row["status"] for row in mine] == ["ok"] * len(expected), mine[0]["problem"]
        for row in mine:
            for figure in FIGURES:
                value = expected[row["system"]].get(figure)
                if value is None:
                    assert row[figure] == "", (figure, farm.set)
                    continue
                same = pytest.approx(value, rel=SAME, abs=SAME)
                assert float(row[figure]) == same, (figure, farm.set)


def another(value, allowed, factor):
    return float(allowed.clipped(round(value * factor) if allowed.whole else value * factor))


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_edges", "worked_farm_rows"])
@pytest.mark.usefixtures("without_guesses")
def test_settings_drawn_at_random_come_to_the_same(name):
    @settings(max_examples=10)
    @given(st.data())
    def compared(data):
        listed = inputs_of(name)
        paths = data.draw(
            st.lists(st.sampled_from(sorted(listed)), min_size=1, max_size=4, unique=True)
        )
        factors = st.sampled_from([0.0, 0.5, 0.8, 1.0, 1.1, 1.5, 3.0])
        farms = tuple(
            FarmRow(None, {path: another(*listed[path], data.draw(factors)) for path in paths})
            for _ in range(3)
        )
        assert_same(SweepSpec(document_of(name), farms, figures=FIGURES))

    compared()


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_edges", "worked_farm_rows", "demo"])
@pytest.mark.usefixtures("without_guesses")
def test_inputs_that_figures_are_read_with_come_to_the_same(name):
    changed = {
        path: (0.7, 1.2, 1.6)
        for path in inputs_of(name)
        if path.startswith(("hay.", "finance.", "herd.", "prices.own_labor", "prices.labor"))
    }
    farms = tuple(
        FarmRow(None, {path: another(*inputs_of(name)[path], factor)})
        for path, factors in changed.items()
        for factor in factors[: 1 if name == "demo" else 3]
    )
    # farms that set different inputs are of different shapes: the first value of each is set in all
    base = {path: inputs_of(name)[path][0] for path in changed}
    whole = tuple(FarmRow(None, {**base, **farm.set}) for farm in farms[::3])
    assert_same(SweepSpec(document_of(name), whole, figures=FIGURES))


def test_rows_that_differ_in_words_and_winters_are_grouped_and_come_to_the_same():
    document = hand_farm()
    vary = {
        "winter.last_day": ("03-10", "03-11"),
        "finance.horizon_years": (10, 12),
        "hay.price_per_ton": (50, 96),
        "prices.nutrient_value_counted": ("none",),
    }
    found = rows(SweepSpec(document, (FarmRow("a"),), vary))
    for row in found:
        setting = {
            path: row[path] if isinstance(values[0], str) else float(row[path])
            for path, values in vary.items()
        }
        costing = cost(scenario_of(with_settings(document, setting)))
        expected = costing.systems[row["system"]].account.annual_equivalent.value
        assert float(row["annual_equivalent_cost"]) == pytest.approx(
            float(expected[0, 0]), rel=SAME
        )
    assert len(found) == 16


def test_many_farms_are_one_run_of_the_engine(monkeypatch):
    # else the comparisons above would compare a costing with itself
    sizes = []

    def noted(group, figures):
        sizes.append(len(group.rows))
        return worked_together(group, figures)

    monkeypatch.setattr(chunk, "worked_together", noted)
    monkeypatch.setattr(chunk, "figures_alone", lambda *_: pytest.fail("a row was costed alone"))
    farms = tuple(FarmRow(None, {"herd.cows.head": 40 + number}) for number in range(30))
    found = rows(SweepSpec(hand_farm(), farms, {"hay.price_per_ton": (40, 96)}))
    assert sizes == [60]
    assert len(found) == 120


def test_systems_with_other_herds_are_ranked_by_margin_in_each_row():
    # one cow sold at $1,000 a year over 10 years at 5 %; less hay, less margin
    sold = {"herd_change": {"cows": {"head": -10, "price_per_head": 1000}}}
    document = hand_farm({"systems": {"grass": sold}})
    farms = tuple(FarmRow(None, {"hay.price_per_ton": price}) for price in (20, 96, 200))
    assert_same(SweepSpec(document, farms, figures=FIGURES))


FOR_ONE_COSTING = (
    "by_winter.1.annual_equivalent_cost",
    "cost_per_head.cows",
    "quantities.served_days.sacrifice_lot.total",
    "limits.acres_to_fix.over",
    "best_system",
    "winter.days",
)


def test_figures_that_need_a_costing_of_their_own_are_those_of_it():
    document = hand_farm({"limits": {"acres_to_fix": 1}})
    farms = (FarmRow("a", {"herd.cows.head": 40}), FarmRow("b", {"herd.cows.head": 60}))
    for row in rows(SweepSpec(document, farms, figures=FOR_ONE_COSTING)):
        setting = {"herd.cows.head": float(row["herd.cows.head"])}
        body = result.costing_document(cost(scenario_of(with_settings(document, setting))))
        for figure in FOR_ONE_COSTING:
            value = figure_of(body, figure, row["system"]).value
            read = row[figure] if figure == "best_system" else float(row[figure])
            assert read == (value if figure == "best_system" else pytest.approx(value, rel=SAME))
