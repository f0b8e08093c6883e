"""Scenarios side by side as CSV and as a workbook."""

import csv
import io

import openpyxl
import pytest

from service.web.negotiation import XLSX
from tests.support.offices import small_document

DIGITS = 1e-14
"""Fifteen digits are kept."""
FORMULA = "=1+1"


@pytest.fixture
def pair(keeping):
    """Return the ids of two scenarios, hay dearer in the second; the first has a hostile name."""
    first = keeping.stored(small_document(external_id="0417") | {"name": FORMULA})
    second = keeping.stored(external_id="0418")
    keeping("PATCH", f"/v1/scenarios/{second}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip
    return f"{first},{second}"


def _compared(keeping, pair, suffix="", query="", **headers):
    return keeping.get(f"/v1/comparisons{suffix}?scenarios={pair}{query}", "read", **headers)


def _expected(keeping, pair):
    return [
        (entry["scenario"], entry["revision"], system)
        for entry in _compared(keeping, pair).json()["compared"]
        for system in entry["systems"]
    ]


def test_the_workbook_has_a_row_for_each_scenario_and_system(keeping, pair):
    answer = _compared(keeping, pair, ".xlsx")
    assert answer.headers["content-type"] == XLSX
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-disposition"] == 'attachment; filename="comparison.xlsx"'
    (sheet,) = openpyxl.load_workbook(io.BytesIO(answer.content)).worksheets
    head, *rows = sheet.iter_rows(values_only=True)
    places = {name: head.index(name) for name in ("Scenario", "Revision", "System", "Rank")}
    cost = next(n for n, name in enumerate(head) if str(name).startswith("Year, all told ["))
    assert head[cost] == "Year, all told [USD/year]"
    expected = _expected(keeping, pair)
    assert len(rows) == len(expected)
    for row, (scenario, revision, system) in zip(rows, expected, strict=True):
        found = [row[places[name]] for name in ("Scenario", "Revision", "System", "Rank")]
        assert found == [scenario, revision, system["system"], system["rank"]]
        assert row[cost] == pytest.approx(system["annual_equivalent_cost"], rel=DIGITS)


def test_the_same_comparison_is_the_same_workbook(keeping, pair):
    found = {_compared(keeping, pair, ".xlsx").content for _ in range(2)}
    found.add(_compared(keeping, pair, query="&format=xlsx").content)
    found.add(_compared(keeping, pair, Accept=XLSX).content)
    assert len(found) == 1


def test_a_name_stays_text_in_both(keeping, pair):
    content = _compared(keeping, pair, ".xlsx").content
    (sheet,) = openpyxl.load_workbook(io.BytesIO(content)).worksheets
    named = [cell for row in sheet.iter_rows() for cell in row if cell.value == FORMULA]
    assert {cell.data_type for cell in named} == {"s"}
    rows = list(csv.DictReader(io.StringIO(_compared(keeping, pair, ".csv").text, newline="")))
    assert rows[0]["name"] == f"'{FORMULA}"


def test_the_csv_keeps_its_columns(keeping, pair):
    answer = _compared(keeping, pair, ".csv")
    assert answer.content == _compared(keeping, pair, query="&format=csv").content
    (head, *rows) = csv.reader(io.StringIO(answer.text, newline=""))
    body = _compared(keeping, pair).json()
    entry = body["compared"][0]
    about = [name for name in entry if name != "systems"]
    assert head == [*about, *entry["systems"][0]]
    assert len(rows) == len(_expected(keeping, pair))
    tsv = _compared(keeping, pair, query="&dialect=tsv")
    assert tsv.headers["content-disposition"] == 'attachment; filename="comparison.tsv"'


@pytest.mark.parametrize("suffix", ["", ".csv", ".xlsx"])
def test_what_is_wrong_is_a_problem_in_every_form(keeping, suffix):
    for query in ("scenarios=", "scenarios=x@y", "scenarios=sc_x", "format=pdf&scenarios=sc_x", ""):
        answer = keeping.get(f"/v1/comparisons{suffix}?{query}", "read")
        assert answer.status_code in {404, 422}
        assert answer.headers["content-type"] == "application/problem+json"


def test_nobody_reads_a_workbook_of_what_is_anothers(keeping, pair):
    path = f"/v1/comparisons.xlsx?scenarios={pair}"
    answer = keeping.get(path, keeping.keys_elsewhere["admin"])
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-scenario")
    assert keeping.get(path, None).status_code == 401
