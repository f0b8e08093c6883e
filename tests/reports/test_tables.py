"""Whether the tables of a costing say what the costing says."""

import csv
import io
import math
import re
from collections.abc import Iterator
from typing import Any

import pytest

from service.costing.document import leaves
from service.costing.errors import InputError
from service.costing.figures_catalog import figures
from service.costing.reference.table import load_edition
from service.demo import demo_document
from service.reports.tables.costing_tables import KINDS, TABLES, table
from service.reports.tables.inputs_listed import inputs_of
from service.reports.tables.table import records
from service.web.tables import table as as_csv
from tests.reports.table_bodies import (
    ABOUT,
    FORMULA,
    HOSTILE,
    UNSAVED,
    body_of,
    demo_body,
    hostile_body,
)
from tests.support.currency import in_other_money
from tests.support.situations import farm

IDENTIFYING = [
    "scenario",
    "external_id",
    "revision",
    "engine_version",
    "reference_edition",
    "currency",
]


@pytest.mark.parametrize("name", TABLES)
def test_every_table_begins_with_whose_numbers_they_are(name):
    body = demo_body()
    found = table(name, body, ABOUT)
    assert found.names[:6] == IDENTIFYING
    assert len(set(found.names)) == len(found.names)
    values = ["sc_01", "0417", 3, body["engine_version"], "2026.1", "USD"]
    for row in found.rows:
        assert [row[column] for column in IDENTIFYING] == values
        assert set(row) <= set(found.names)


@pytest.mark.parametrize("name", TABLES)
def test_what_is_not_stored_has_no_ids(name):
    for row in table(name, demo_body(), UNSAVED).rows:
        assert row["scenario"] is row["external_id"] is row["revision"] is None


@pytest.mark.parametrize("name", TABLES)
def test_cells_hold_plain_values(name):
    for row in records(table(name, demo_body(), ABOUT)):
        for value in row.values():
            assert value is None or isinstance(value, str | int | float)
            assert not isinstance(value, float) or math.isfinite(value)


def test_lines_are_those_of_the_costing_and_their_kinds_add_up_to_them():
    body = demo_body()
    rows = {(row["system"], row["line"]): row for row in table("lines", body, ABOUT).rows}
    assert len(rows) == sum(len(system["lines"]) for system in body["systems"])
    for system in body["systems"]:
        for line in system["lines"]:
            row = rows[system["system"], line["line"]]
            assert (row["value"], row["unit"]) == (line["annual_equivalent"], "USD/year")
            assert (row["system_title"], row["line_title"]) == (system["title"], line["title"])
            assert {kind: row[kind] for kind in KINDS if row[kind]} == {
                kind: value for kind, value in line["by_kind"].items() if value
            }
            assert sum(row[kind] for kind in KINDS) == pytest.approx(row["value"], abs=1e-8)
        total = sum(rows[system["system"], line["line"]]["value"] for line in system["lines"])
        assert total == pytest.approx(system["annual_equivalent_cost"], rel=1e-12)


def test_the_cash_flow_is_that_of_each_line_and_year():
    body = demo_body()
    rows = {
        (row["system"], row["line"], row["year"]): row
        for row in table("cash_flow", body, ABOUT).rows
    }
    years = int(body["inputs_used"]["finance"]["horizon_years"]) + 1
    assert len(rows) == years * sum(len(system["lines"]) for system in body["systems"])
    for system in body["systems"]:
        for line in system["lines"]:
            for year, value in enumerate(line["by_year"]):
                row = rows[system["system"], line["line"], year]
                assert (row["value"], row["unit"]) == (value, "USD")


def test_a_line_is_called_cash_only_where_all_of_it_is_paid():
    rows = table("cash_flow", demo_body(), ABOUT).rows
    cash = {(row["system"], row["line"]): row["cash"] for row in rows}
    assert cash["rock_pad", "structures"] is True
    assert cash["lot_open_rings", "forage_lost"] is False
    assert cash["lot_open_rings", "nutrient_credit"] is False
    assert cash["lot_open_rings", "labor"] is None  # own hours, and hired ones
    assert cash["lot_open_rings", "bedding"] is None  # none


def _at(system: dict[str, Any], path: str) -> Any:
    """Find a figure by its path, without the catalogue; None where there is none."""
    if path.startswith("lines."):
        key = path.removeprefix("lines.")
        return next(line["annual_equivalent"] for line in system["lines"] if line["line"] == key)
    if path.startswith("by_winter."):
        season = path.removeprefix("by_winter.").removesuffix(".annual_equivalent_cost")
        winters = [row for row in system["by_winter"] if row["season"] == season]
        return winters[0]["annual_equivalent_cost"]
    node: Any = system
    for name in path.split("."):
        node = node.get(name) if isinstance(node, dict) else None
    return node


def _without_identity(names: list[str]) -> Iterator[str]:
    return (name for name in names[6:] if name not in {"system", "system_title"})


@pytest.mark.parametrize("document", [demo_document, farm])
def test_figures_have_every_number_of_the_catalogue_as_the_costing_has_it(document):
    body = body_of(document())
    found = table("figures", body, ABOUT)
    assert [row["system"] for row in found.rows] == [s["system"] for s in body["systems"]]
    assert found.names[8] == "rank"
    paths = list(_without_identity(found.names))
    of_costing = {figure.path for figure in figures() if figure.of == "costing"}
    for row, system in zip(found.rows, body["systems"], strict=True):
        for path in paths:
            shared = path in of_costing or path.startswith("winter.ground_days.")
            assert row[path] == _at(body if shared else system, path), path
    for figure in figures():
        pattern = re.sub(r"<\w+>", "[^.]+", re.escape(figure.path))
        assert any(re.fullmatch(pattern, path) for path in paths), figure.path


def test_long_figures_are_the_wide_ones_with_a_unit_each():
    body = demo_body()
    wide = {row["system"]: row for row in table("figures", body, ABOUT).rows}
    units = {column.name: column.unit for column in table("figures", body, ABOUT).columns}
    rows = table("figures", body, ABOUT, "long").rows
    assert {(row["system"], row["figure"]) for row in rows} == {
        (key, name)
        for key, row in wide.items()
        for name in _without_identity(list(row))
        if name != "best_system"
    }
    for row in rows:
        assert row["value"] == wide[row["system"]][row["figure"]]
        assert row["unit"] == units[row["figure"]]
        assert not isinstance(row["value"], str)


def test_units_of_money_name_the_currency_and_limits_have_their_own():
    units = {column.name: column.unit for column in table("figures", demo_body(), ABOUT).columns}
    assert units["cost_per_head.cows"] == "USD/head"
    assert units["limits.money_up_front.value"] == "USD"
    assert units["limits.minutes_weekday.over"] == "minute"
    assert units["limits.acres_to_fix.over"] == "acre"
    assert units["rank"] == ""


def test_winters_and_ground_days_are_those_of_the_costing():
    body = demo_body()
    winters = {
        (row["system"], row["season"]): row["value"] for row in table("by_winter", body, ABOUT).rows
    }
    days = {
        (row["system"], row["step"], row["ground_state"]): row
        for row in table("ground_days", body, ABOUT).rows
    }
    served = 0
    for system in body["systems"]:
        for row in system["by_winter"]:
            assert winters[system["system"], row["season"]] == row["annual_equivalent_cost"]
        steps = body["inputs_used"]["systems"][system["system"]]["plan"]
        methods = {step["key"]: step["method"] for step in steps}
        for step, states in system["quantities"]["served_days"].items():
            for state, value in states.items():
                row = days[system["system"], step, state]
                assert (row["days"], row["method"]) == (value, methods[step])
                served += 1
    assert served == len(days)
    assert len(winters) == len(body["systems"]) * body["winter"]["winters"]


@pytest.mark.parametrize("document", [demo_document, farm])
def test_inputs_are_all_that_was_used_with_where_it_is_from(document):
    body = body_of(document())
    rows = table("inputs", body, ABOUT).rows
    assert [row["input"] for row in rows] == list(leaves(body["inputs_used"]))
    assert {row["input"]: row["origin"] for row in rows} == body["origins"]
    values = {found.path: found.value for found in inputs_of(body)}
    for row in rows:
        value = values[row["input"]]
        expected = ",".join(map(str, value)) if isinstance(value, list) else value
        assert row["value"] == expected
        assert row["title"]


def test_a_reference_value_stands_with_its_range_and_its_source():
    rows = {row["input"]: row for row in table("inputs", demo_body(), ABOUT).rows}
    row = rows["assumptions.hay_waste.ring_open"]
    known = load_edition("2026.1").rows["hay_waste.ring_open"]
    assert row["reference_key"] == "hay_waste.ring_open"
    assert (row["low"], row["usual"], row["high"]) == (known.low, known.usual, known.high)
    assert (row["unit"], row["unverified"]) == ("fraction", False)
    assert "2018" in str(row["source"])
    assert row["where"] == known.where
    given = rows["hay.price_per_ton"]
    assert given["unit"] == "USD/ton"
    assert given["origin"] == "given"
    assert given.get("source") is None


def test_an_assumption_says_why():
    edition = load_edition("2026.1")
    rows = table("inputs", demo_body(), ABOUT).rows
    assumed = [
        row
        for row in rows
        if row.get("reference_key") and edition.rows[row["reference_key"]].source == "assumption"
    ]
    assert assumed
    for row in assumed:
        assert row["source"] == f"Assumption. {edition.rows[row['reference_key']].note}"


def test_prices_of_the_edition_say_nothing_of_another_currency():
    body = body_of(in_other_money(farm(), 0.9) | {"currency": "EUR"})
    edition = load_edition("2026.1")
    rows = [row for row in table("inputs", body, ABOUT).rows if row.get("reference_key")]
    priced = [row for row in rows if edition.rows[row["reference_key"]].currency == "USD"]
    assert priced
    for row in priced:
        assert row["low"] is row["usual"] is row["high"] is None
        assert "EUR" in str(row["unit"])


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("dialect", [None, "excel", "excel-eu", "tsv"])
def test_no_text_of_people_becomes_a_formula_in_csv(name, dialect):
    found = table(name, hostile_body(), ABOUT | {"external_id": FORMULA})
    text = as_csv(found.names, found.rows, dialect).decode("utf-8-sig")
    separator = {"excel-eu": ";", "tsv": "\t"}.get(dialect or "", ",")
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    assert rows[0] == found.names
    assert len(rows) == len(found.rows) + 1
    for row in rows:
        for cell in row:
            assert not re.match(r"\s*[=@\t\r]", cell)
            assert not re.match(r"\s*[+-]", cell) or re.fullmatch(r"-[\d.,e+-]+", cell)
    if name in {"lines", "by_winter", "ground_days"}:
        shown = {row[rows[0].index("system_title")].removeprefix("'") for row in rows[1:]}
        assert shown == set(HOSTILE)


def test_numbers_come_out_of_csv_as_they_are_in_the_costing():
    """RFC 4180 has no numbers; fifteen digits are what a spreadsheet keeps (ISO/IEC 29500)."""
    found = table("lines", demo_body(), ABOUT)
    rows = csv.DictReader(io.StringIO(as_csv(found.names, found.rows).decode(), newline=""))
    for row, there in zip(rows, found.rows, strict=True):
        assert float(row["value"]) == pytest.approx(there["value"], rel=1e-14)


def test_a_table_that_there_is_none_of_names_the_nearest():
    with pytest.raises(InputError) as told:
        table("cashflow", demo_body(), ABOUT)
    (fault,) = told.value.faults
    assert (fault.input, fault.suggestion) == ("table", "cash_flow")
    assert fault.received == "cashflow"


def test_only_figures_have_a_long_shape():
    with pytest.raises(InputError) as told:
        table("lines", demo_body(), ABOUT, "long")
    assert [fault.input for fault in told.value.faults] == ["shape"]
