"""Workings of a stored scenario: whole, or those of a system or a line."""

import numpy as np
import pytest

from service.costing.formula import FORMULAS
from service.web.workings_part import ALL_ENTRIES, CARRIES_ENTRIES, SIDE_BY_SIDE

LINE = "hay_wasted"


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


def _workings(keeping, scenario, query=""):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing/workings{query}", "read")
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.fixture
def whole(keeping, scenario):
    return _workings(keeping, scenario)


def _inside(figure):
    parts = [part for part in figure.get("parts", ()) if part is not None]
    return [*parts, *figure.get("arguments", {}).values()]


def _reached(figures, first):
    found, waiting = set(), [*first]
    while waiting:
        number = waiting.pop()
        if number not in found:
            found.add(number)
            waiting += _inside(figures[number])
    return found


def _told(figures, number):
    """Return a figure with all that it was worked from, numbers left out."""
    figure = figures[number]
    return {
        **{name: value for name, value in figure.items() if name not in {"parts", "arguments"}},
        "inside": [_told(figures, inner) for inner in _inside(figure)],
    }


def test_the_workings_are_those_of_the_costing(keeping, scenario, whole):
    document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    posted = keeping("POST", "/v1/costings?workings=true", None, json={"document": document})
    assert whole == posted.json()["workings"]


@pytest.mark.parametrize("word", ["barn", "best", "baseline"])
def test_of_one_system_all_is_there_and_nothing_else(keeping, scenario, whole, word):
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()
    key = {"best": costing["best_system"], "baseline": costing["comparison"]["baseline"]}.get(
        word, word
    )
    part = _workings(keeping, scenario, f"?system={word}")
    assert list(part["systems"]) == [key]
    system, before = part["systems"][key], whole["systems"][key]
    assert set(system) == set(before)
    assert list(system["lines"]) == list(before["lines"])
    for name in ("annual_equivalent_cost", "out_of_pocket", "net_present_cost", "by_winter"):
        assert _told(part["figures"], system[name]) == _told(whole["figures"], before[name])
    named = [line[part]["figure"] for line in system["lines"].values()
             for part in ("annual_equivalent", "by_year")]  # fmt: skip
    totals = [system[name] for name in ("annual_equivalent_cost", "out_of_pocket",
                                        "net_present_cost", "by_winter")]  # fmt: skip
    assert _reached(part["figures"], named + totals) == set(range(len(part["figures"])))
    sources = {
        source
        for figure in part["figures"]
        for source in np.atleast_1d(figure.get("sources", [])).tolist()
    }
    assert set(part["reference_values"]) == {
        key for key in whole["reference_values"] if f"assumptions.{key}" in sources
    }


def test_of_one_line_the_amounts_of_others_are_left_out(keeping, scenario, whole):
    part = _workings(keeping, scenario, f"?system=barn&line={LINE}")
    system = part["systems"]["barn"]
    assert set(system) == {"entries", "tasks", "lines"}
    assert list(system["lines"]) == [LINE]
    assert len(part["figures"]) < len(whole["figures"]) / 3
    line = system["lines"][LINE]
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()
    barn = next(one for one in costing["systems"] if one["system"] == "barn")
    wanted = next(one for one in barn["lines"] if one["line"] == LINE)
    figure = part["figures"][line["annual_equivalent"]["figure"]]
    value = np.array(figure["value"])[line["annual_equivalent"]["line"]].ravel()[-1]
    assert value == pytest.approx(wanted["annual_equivalent"], rel=1e-12)
    by_year = np.array(part["figures"][line["by_year"]["figure"]]["value"])
    assert by_year[:, line["by_year"]["line"], 0, 0] == pytest.approx(wanted["by_year"])


def _flows(workings, line):
    """Return the flows of the entries of a system, and the places of a line among them."""
    chosen = workings["systems"]["barn"]["lines"][line]
    by_year = workings["figures"][chosen["by_year"]["figure"]]
    return workings["figures"][by_year["arguments"]["flows"]], set(chosen["entries"])


@pytest.mark.parametrize("line", ["hay_wasted", "structures", "structure_upkeep", "labor"])
def test_the_parts_that_are_kept_are_those_of_the_line(keeping, scenario, whole, line):
    part = _workings(keeping, scenario, f"?system=barn&line={line}")
    before, entries = _flows(whole, line)
    after, _ = _flows(part, line)
    assert entries
    assert before["formula"] == after["formula"] == "all_entries"
    first = 0
    for old, new in zip(before["parts"], after["parts"], strict=True):
        flow = whole["figures"][old]
        inside = {entry - first for entry in entries} & set(range(len(flow["value"][0])))
        first += len(flow["value"][0])
        assert (new is not None) is bool(inside)
        if new is not None and flow["formula"] == "entries_by_year":
            _check_amounts(part["figures"], new, inside)
        elif new is not None:
            assert _told(part["figures"], new) == _told(whole["figures"], old)


def _check_amounts(figures, number, inside):
    """Check that of the amounts of entries those inside are kept and no other."""
    mean = figures[figures[number]["arguments"]["amount"]]
    amounts = figures[mean["arguments"]["values"]]
    kept = {place for place, part in enumerate(amounts["parts"]) if part is not None}
    assert kept == inside


def test_a_line_that_a_system_has_not_rests_on_nothing(keeping, scenario, whole):
    (line,) = [
        key
        for key, found in whole["systems"]["rings"]["lines"].items()
        if not found["entries"] and whole["systems"]["barn"]["lines"][key]["entries"]
    ][:1]
    part = _workings(keeping, scenario, f"?system=rings&line={line}")
    assert not [one for one in part["figures"] if any(one.get("parts", ()))]


def test_every_formula_through_which_lines_are_followed_is_one_of_the_engine():
    for name, arguments in CARRIES_ENTRIES.items():
        assert set(arguments) <= set(FORMULAS[name].arguments)
    assert {ALL_ENTRIES, SIDE_BY_SIDE} <= set(FORMULAS)


def test_a_line_of_every_system(keeping, scenario, whole):
    part = _workings(keeping, scenario, "?line=labor")
    assert list(part["systems"]) == list(whole["systems"])
    assert all(list(system["lines"]) == ["labor"] for system in part["systems"].values())


def test_an_older_revision_has_its_own_workings(keeping, scenario):
    keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip

    def prices(query):
        figures = _workings(keeping, scenario, query)["figures"]
        return {one["value"] for one in figures if one.get("sources") == "hay.price_per_ton"}

    assert prices("") == {140}
    assert prices("?revision=1") == {118}
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing/workings?revision=3")
    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("query", "name", "suggestion"),
    [
        ("system=bern", "system", "barn"),
        ("system=bst", "system", "best"),
        ("line=hay_waste", "line", "hay_wasted"),
        ("system=barn&line=labour", "line", "labor"),
        ("sistem=barn", "sistem", "system"),
    ],
)
def test_an_unknown_name_is_answered_with_the_nearest(keeping, scenario, query, name, suggestion):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing/workings?{query}")
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["input"] == name
    assert error["suggestion"] == suggestion
