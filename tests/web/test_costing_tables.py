"""A costing as CSV, as records and as a workbook: the same numbers as in its JSON."""

import csv
import io
import json
from dataclasses import replace

import openpyxl
import pytest

from service.costing.errors import Fault, InputError
from service.reports.tables.costing_tables import TABLES
from service.web.negotiation import XLSX
from service.web.tables import MANNERS
from tests.support.offices import small_document

IDENTIFYING = ["scenario", "external_id", "revision", "engine_version", "reference_edition",
               "currency"]  # fmt: skip
DIGITS = 1e-14
"""Fifteen digits are sent."""
FORMULA = "=1+1"


@pytest.fixture
def scenario(keeping):
    return keeping.stored(external_id="0417")


def _address(scenario, tail=""):
    return f"/v1/scenarios/{scenario}/costing{tail}"


def _rows(answer, dialect=None):
    manner = MANNERS.get(dialect or "")
    text = answer.content.decode("utf-8-sig")
    separator = manner.separator if manner else ","
    return list(csv.DictReader(io.StringIO(text, newline=""), delimiter=separator))


def _problem(answer):
    assert answer.headers["content-type"] == "application/problem+json"
    return answer.json()


def test_the_lines_are_those_of_the_costing(keeping, scenario):
    costing = keeping.get(_address(scenario)).json()
    answer = keeping.get(_address(scenario, ".csv"), "read")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    rows = _rows(answer)
    expected = [
        (system["system"], line["line"], line["annual_equivalent"])
        for system in costing["systems"]
        for line in system["lines"]
    ]
    assert [(row["system"], row["line"]) for row in rows] == [
        (one, two) for one, two, _ in expected
    ]
    assert [float(row["value"]) for row in rows] == [
        pytest.approx(value, rel=DIGITS) for *_, value in expected
    ]
    assert {row["unit"] for row in rows} == {"USD/year"}


@pytest.mark.parametrize("name", TABLES)
def test_every_table_says_what_it_is_of(keeping, scenario, name):
    answer = keeping.get(_address(scenario, f".csv?table={name}"))
    costing = keeping.get(_address(scenario)).json()
    rows = _rows(answer)
    assert list(rows[0])[: len(IDENTIFYING)] == IDENTIFYING
    about = [scenario, "0417", "1", costing["engine_version"], costing["reference_edition"], "USD"]
    assert all([row[column] for column in IDENTIFYING] == about for row in rows)


@pytest.mark.parametrize("name", TABLES)
def test_records_hold_what_the_csv_holds_with_numbers_as_numbers(keeping, scenario, name):
    records = keeping.get(_address(scenario, f"?table={name}"), "read")
    assert records.headers["content-type"] == "application/json"
    rows = _rows(keeping.get(_address(scenario, f".csv?table={name}")))
    assert len(rows) == len(records.json()) > 0
    for row, record in zip(rows, records.json(), strict=True):
        assert list(row) == list(record)
        for column, value in record.items():
            if isinstance(value, bool):
                assert row[column] == str(value).lower()
            elif isinstance(value, int | float):
                assert float(row[column]) == pytest.approx(value, rel=DIGITS)
            elif value is None:
                assert row[column] == ""


def test_figures_can_be_long(keeping, scenario):
    costing = keeping.get(_address(scenario)).json()
    rows = _rows(keeping.get(_address(scenario, ".csv?table=figures&shape=long")))
    found = {(row["system"], row["figure"]): row for row in rows}
    for system in costing["systems"]:
        row = found[system["system"], "annual_equivalent_cost"]
        assert float(row["value"]) == pytest.approx(system["annual_equivalent_cost"], rel=DIGITS)
        assert row["unit"] == "USD/year"


@pytest.mark.parametrize("dialect", MANNERS)
def test_dialects_change_how_a_table_is_written_not_what_it_says(keeping, scenario, dialect):
    manner = MANNERS[dialect]
    plain = _rows(keeping.get(_address(scenario, ".csv")))
    answer = keeping.get(_address(scenario, f"?dialect={dialect}"))
    assert answer.content.startswith(manner.mark)
    rows = _rows(answer, dialect)
    assert [row["value"].replace(manner.decimal, ".") for row in rows] == [
        row["value"] for row in plain
    ]
    suffix = "tsv" if dialect == "tsv" else "csv"
    assert answer.headers["content-disposition"].endswith(f'-lines.{suffix}"')


def test_the_suffix_goes_before_the_format_and_that_before_accept(keeping, scenario):
    def kind(tail, accept):
        answer = keeping.get(_address(scenario, tail), Accept=accept)
        return answer.headers["content-type"].partition(";")[0]

    assert kind(".json?format=csv", "text/csv") == "application/json"
    assert kind(".csv?format=xlsx", XLSX) == "text/csv"
    assert kind("?format=csv", XLSX) == "text/csv"
    assert kind("?dialect=excel", "application/json") == "text/csv"
    assert kind("", "text/csv") == "text/csv"
    assert kind("", XLSX) == XLSX
    assert kind("", "text/html, */*;q=0.8") == "application/json"
    assert kind("", "text/csv;q=0.5, application/json") == "application/json"


def test_the_workbook_holds_the_numbers_of_the_costing(keeping, scenario):
    costing = keeping.get(_address(scenario)).json()
    answer = keeping.get(_address(scenario, ".xlsx"), "read")
    assert answer.headers["content-type"] == XLSX
    book = openpyxl.load_workbook(io.BytesIO(answer.content))
    head, *rows = book["Lines"].iter_rows(values_only=True)
    place = head.index("Value")
    there = [line["annual_equivalent"] for system in costing["systems"] for line in system["lines"]]
    assert [row[place] for row in rows] == [pytest.approx(value, rel=DIGITS) for value in there]
    cells = [cell for row in book["Summary"].iter_rows(values_only=True) for cell in row]
    assert scenario in cells
    assert "0417" in cells


def test_a_file_name_is_made_of_ids_alone(keeping):
    hostile = keeping.stored(external_id='x"; filename=evil.exe', name="../../etc")
    for suffix in ("csv", "xlsx"):
        found = keeping.get(_address(hostile, f".{suffix}")).headers["content-disposition"]
        tail = "-lines" if suffix == "csv" else ""
        assert found == f'attachment; filename="costing-{hostile}-1{tail}.{suffix}"'


def test_no_text_becomes_a_formula(keeping):
    document = small_document(external_id=FORMULA)
    system = next(iter(document["systems"].values()))
    system["title"] = "@SUM(A1)"
    hostile = keeping.stored(document)
    rows = _rows(keeping.get(_address(hostile, ".csv")))
    assert {row["external_id"] for row in rows} == {f"'{FORMULA}"}
    assert "'@SUM(A1)" in {row["system_title"] for row in rows}
    book = openpyxl.load_workbook(io.BytesIO(keeping.get(_address(hostile, ".xlsx")).content))
    titles = [row[1] for row in book["Lines"].iter_rows(min_row=2)]
    assert {cell.data_type for cell in titles} == {"s"}
    assert "@SUM(A1)" in [cell.value for cell in titles]


@pytest.mark.parametrize(
    "tail",
    [
        ".csv",
        ".xlsx",
        ".csv?table=inputs&dialect=excel",
        ".json?table=figures",
        ".csv?table=figures&shape=long",
    ],
)
def test_a_table_says_where_it_is_stored_and_is_kept_there_for_good(keeping, scenario, tail):
    answer = keeping.get(_address(scenario, tail))
    assert answer.headers["cache-control"] == "private, no-cache"
    location = answer.headers["content-location"]
    stored = keeping.get(location, "read")
    assert stored.content == answer.content
    assert stored.headers["etag"] == answer.headers["etag"]
    # RFC 8246, section 2.
    assert stored.headers["cache-control"] == "private, max-age=31536000, immutable"
    assert stored.headers["vary"] == "Accept"
    again = keeping.get(location, **{"If-None-Match": stored.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_each_form_has_an_entity_tag_of_its_own(keeping, scenario):
    # RFC 9110, section 8.8.3: a tag stands for one representation.
    tails = ["", ".csv", ".xlsx", "?table=lines", ".csv?table=inputs", ".csv?dialect=tsv",
             ".csv?table=figures", ".csv?table=figures&shape=long"]  # fmt: skip
    tags = [keeping.get(_address(scenario, tail)).headers["etag"] for tail in tails]
    assert len(set(tags)) == len(tails)


def test_settings_make_a_table_that_nobody_keeps(keeping, scenario):
    keeping.get("/v1/scenarios", "read")
    written = keeping.desk.store.written
    tail = "?set.hay.price_per_ton=140&table=inputs"
    for suffix in (".csv", ".json"):
        answer = keeping.get(_address(scenario, suffix + tail), "read")
        assert answer.status_code == 200, answer.text
        assert answer.headers["cache-control"] == "no-store"
        assert "etag" not in answer.headers
        assert "content-location" not in answer.headers
    (row,) = (row for row in answer.json() if row["input"] == "hay.price_per_ton")
    assert row["value"] == 140
    assert keeping.desk.store.written == written
    assert keeping.get(f"/v1/scenarios/{scenario}/costings").json()["items"] == []


def test_a_revision_has_its_own_table(keeping, scenario):
    keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip
    for number in (1, 2):
        rows = _rows(keeping.get(_address(scenario, f".csv?revision={number}")))
        costing = keeping.get(_address(scenario, f"?revision={number}")).json()
        assert {row["revision"] for row in rows} == {str(number)}
        value = costing["systems"][0]["lines"][0]["annual_equivalent"]
        assert float(rows[0]["value"]) == pytest.approx(value, rel=DIGITS)


@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_head_answers_as_get_does_and_stores_nothing(keeping, scenario, suffix):
    keeping.get("/v1/scenarios", "read")
    written = keeping.desk.store.written
    head = keeping("HEAD", _address(scenario, suffix), "read")
    assert (head.status_code, head.content) == (200, b"")
    assert "etag" not in head.headers
    assert keeping.desk.store.written == written
    got = keeping.get(_address(scenario, suffix))
    head = keeping("HEAD", got.headers["content-location"])
    for name in ("etag", "content-length", "content-type", "content-disposition"):
        assert head.headers[name] == got.headers[name]


@pytest.mark.parametrize(
    ("tail", "errors"),
    [
        (".csv?table=line", [("table", "did you mean lines?")]),
        ("?table=", [("table", "there are lines, cash_flow")]),
        ("?format=cvs", [("format", "did you mean csv?")]),
        ("?dialect=exel&table=x", [("table", "there are"), ("dialect", "did you mean excel?")]),
        (".xlsx?table=lines", [("table", "leave out table")]),
        ("?format=xlsx&dialect=tsv", [("dialect", "leave out dialect")]),
        ("?shape=long", [("shape", "table=figures")]),
        (".csv?shape=long", [("shape", "name it: table=figures")]),
        ("?table=inputs&shape=long", [("shape", "one shape only")]),
        ("?shape=tall&table=figures", [("shape", "there are wide, long")]),
        (".json?dialect=tsv", [("dialect", "JSON has no dialects")]),
        (".csv?table=lines&table=lines", [("table", "more than once")]),
        (".csv?tabel=lines", [("tabel", "did you mean table?")]),
    ],
)
def test_a_form_that_is_not_understood_is_named(keeping, scenario, tail, errors):
    costing = keeping.get(_address(scenario)).headers["content-location"]
    for address in (_address(scenario, tail), costing + tail):
        answer = keeping.get(address)
        problem = _problem(answer)
        assert (answer.status_code, problem["type"]) == (422, "/problems/invalid-parameter")
        assert [error["input"] for error in problem["errors"]] == [name for name, _ in errors]
        for error, (_, words) in zip(problem["errors"], errors, strict=True):
            assert words in error["detail"]


def test_the_nearest_table_is_suggested(keeping, scenario):
    (error,) = keeping.get(_address(scenario, ".csv?table=cashflow")).json()["errors"]
    assert error["suggestion"] == "cash_flow"
    assert error["received"] == "cashflow"


@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_what_is_wrong_is_a_problem_in_every_form(keeping, keeping_app, scenario, suffix):
    absent = keeping.get(f"/v1/scenarios/sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T/costing{suffix}")
    assert (absent.status_code, _problem(absent)["type"]) == (404, "/problems/unknown-scenario")
    costing = f"/v1/scenarios/{scenario}/costings/ct_01JD4Q8Z3V9W7K2M5N6P8R0S1T{suffix}"
    assert _problem(keeping.get(costing))["type"] == "/problems/unknown-part"
    setting = keeping.get(_address(scenario, f"{suffix}?set.hay.price_per_ton=many"))
    assert (setting.status_code, _problem(setting)["type"]) == (422, "/problems/invalid-input")

    def refuse(document):
        del document
        raise InputError([Fault("herd.cows.head", "The cows must be counted.")])

    keeping_app.state.desk = replace(keeping.desk, read=refuse)
    refused = keeping.get(_address(scenario, suffix))
    assert refused.status_code == 422
    assert _problem(refused)["errors"][0]["detail"] == "The cows must be counted."


def test_what_has_changed_comes_as_json_alone(keeping, scenario):
    costing = keeping.get(_address(scenario)).headers["content-location"]
    assert keeping.get(f"{costing}?against=now&format=json").status_code == 200
    answer = keeping.get(f"{costing}.csv?against=now")
    assert answer.status_code == 422
    assert "answered as JSON" in _problem(answer)["errors"][0]["detail"]


def test_a_read_link_in_the_address_reads_a_table(keeping, scenario):
    token = keeping.link(scenario)
    answer = keeping.get(_address(scenario, f".csv?table=by_winter&token={token}"), None)
    assert answer.status_code == 200
    assert token not in answer.text + str(answer.headers)


def test_an_older_costing_as_a_table_leads_to_the_one_of_now(keeping, keeping_app, scenario):
    now = keeping.desk
    keeping_app.state.desk = replace(now, engine_version="0.0.1")
    older = keeping.get(_address(scenario)).headers["content-location"]
    keeping_app.state.desk = now
    answer = keeping.get(f"{older}.csv")
    assert answer.headers["link"] == f'<{_address(scenario)}>; rel="latest-version"'
    assert {row["engine_version"] for row in _rows(answer)} == {"0.0.1"}


def test_the_costing_itself_is_still_sent_as_it_is_stored(keeping, scenario):
    location = keeping.get(_address(scenario)).headers["content-location"]
    found = [keeping.get(f"{location}{tail}").content for tail in ("", ".json", "?format=json")]
    assert len(set(found)) == 1
    assert json.loads(found[0])["id"] == location.rpartition("/")[2]
