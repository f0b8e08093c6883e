"""An answer sheet is sent and stored: all of it or nothing, and each fault names its cell."""

import csv
import io

import pytest

from service.demo import demo_document
from service.reports.answer_sheet import csv_of, template
from service.web.middleware import LARGEST_BODY, LARGEST_SHEET
from service.web.negotiation import CSV, JSON, XLSX
from tests.reports.answer_sheets import filled, repacked, sheet_part, spoilt, with_cell

FORMS = {"xlsx": XLSX, "csv": CSV}
OLE = bytes.fromhex("d0cf11e0a1b11ae1")
"""First bytes of a compound file (Microsoft, MS-CFB, section 2.2, from memory)."""
MEGABYTE = 1_000_000
BOMB = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bb">]><a>&b;</a>'


def _sent(keeping, content, kind=XLSX, by="write", **headers):
    return keeping(
        "POST", "/v1/scenarios", by, content=content, headers={"Content-Type": kind, **headers}
    )


def _put(keeping, scenario, content, kind=XLSX, **headers):
    address = f"/v1/scenarios/{scenario}"
    return keeping(
        "PUT", address, "write", content=content, headers={"Content-Type": kind, **headers}
    )


def _errors(answer, status=422):
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    return answer.json().get("errors", [])


def _count(keeping):
    return len(keeping.get("/v1/scenarios").json()["items"])


def _csv(path, value):
    """Return the demo as CSV with one value changed, and the line where it stands."""
    rows = list(csv.reader(io.StringIO(csv_of(demo_document()), newline="")))
    line = next(number for number, row in enumerate(rows, start=1) if row[0] == path)
    rows[line - 1][1] = value
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue(), line


@pytest.mark.parametrize("form", FORMS)
def test_an_answer_sheet_is_stored_as_the_document_is(keeping, form):
    document = demo_document()
    content = template(document) if form == "xlsx" else csv_of(document).encode("utf-8-sig")
    answer = _sent(keeping, content, FORMS[form])
    assert answer.status_code == 201, answer.text
    plain = keeping.stored(document | {"external_id": "0417"})
    expected = keeping.get(f"/v1/scenarios/{plain}").json()["document"]
    found = answer.json()["document"]
    assert found | {"external_id": "0417"} == expected
    assert list(found["systems"]) == list(expected["systems"])


@pytest.mark.parametrize("form", FORMS)
def test_out_and_in_again_changes_nothing(keeping, form):
    scenario = keeping.stored(demo_document())
    sheet = keeping.get(f"/v1/scenarios/{scenario}.{form}")
    answer = _put(
        keeping, scenario, sheet.content, FORMS[form], **{"If-Match": sheet.headers["ETag"]}
    )
    assert answer.status_code == 200, answer.text
    assert answer.json()["revision"] == 1
    assert len(keeping.get(f"/v1/scenarios/{scenario}/revisions").json()["items"]) == 1


def test_a_changed_cell_is_the_next_revision_and_the_only_change(keeping):
    scenario = keeping.stored(demo_document())
    sheet = with_cell("Herd", "D6", 77)
    answer = _put(keeping, scenario, sheet, **{"If-Match": '"1"'})
    assert answer.json()["revision"] == 2
    address = f"/v1/scenarios/{scenario}/revisions/2/changes"
    changes = keeping.get(address).json()["changes"]
    assert [(one["input"], one["before"], one["after"]) for one in changes] == [
        ("herd.cows.head", 62, 77)
    ]
    other = _put(keeping, scenario, with_cell("Herd", "D6", 78), **{"If-Match": '"1-xlsx"'})
    _errors(other, 412)


def test_a_workbook_that_names_its_revision_still_needs_the_header(keeping):
    # RFC 6585, section 3: what a client has read is said by If-Match.
    scenario = keeping.stored(demo_document())
    sheet = keeping.get(f"/v1/scenarios/{scenario}.xlsx").content
    _errors(_put(keeping, scenario, sheet), 428)
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 1


def test_a_fault_of_the_file_names_sheet_and_cell(keeping):
    (error,) = _errors(_sent(keeping, with_cell("Herd", "D6", "many")))
    assert error["cell"] == "Herd!D6"
    assert error["input"] == "herd.cows.head"
    assert error["detail"].startswith("Sheet Herd, cell D6: a number belongs here")
    assert "pointer" not in error
    assert _count(keeping) == 0


def test_a_fault_of_the_scenario_names_sheet_and_cell(keeping):
    sheet = with_cell("Herd", "D6", -3)
    scenario = keeping.stored(demo_document())
    for answer in (_sent(keeping, sheet), _put(keeping, scenario, sheet, **{"If-Match": '"1"'})):
        (error,) = _errors(answer)
        assert (error["cell"], error["input"]) == ("Herd!D6", "herd.cows.head")
        assert error["allowed"] == "at least 1, at most 20,000"
        assert (error["received"], error["unit"]) == (-3, "head")
    assert _count(keeping) == 1
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 1


def test_all_faults_come_at_once(keeping):
    def spoil(workbook):
        workbook["Herd"]["D6"] = -3
        workbook["Herd"]["D7"] = 0

    cells = {error["cell"] for error in _errors(_sent(keeping, spoilt(spoil)))}
    assert {"Herd!D6", "Herd!D7"} <= cells


@pytest.mark.parametrize("value", ["many", "1,5", "-3", "1e999", "nan"])
def test_a_fault_in_csv_names_the_line(keeping, value):
    text, line = _csv("herd.cows.head", value)
    (error,) = _errors(_sent(keeping, text.encode(), CSV))
    assert error["cell"] == f"line {line}"
    assert error["detail"].startswith(f"Line {line}: ")
    assert _count(keeping) == 0


def test_json_has_pointers_and_no_cells(keeping):
    document = demo_document()
    document["herd"]["cows"]["head"] = -3
    (error,) = _errors(keeping("POST", "/v1/scenarios", "write", json=document))
    assert error["pointer"] == "/herd/cows/head"
    assert "cell" not in error


def test_the_empty_answer_sheet_is_answered_with_what_is_missing(keeping):
    sheet = keeping.get("/v1/templates/scenario.xlsx", None).content
    errors = _errors(_sent(keeping, sheet))
    assert {"herd", "hay", "systems"} <= {error["input"] for error in errors}
    assert all(error["cell"] for error in errors)


def _xml_bomb():
    return repacked(lambda parts: parts.update({sheet_part("Herd"): BOMB}))


def _zip_bomb():
    return repacked(lambda parts: parts.update({"xl/media/a.png": b"\x00" * 25 * MEGABYTE}))


def _merged():
    return spoilt(lambda workbook: workbook["Herd"].merge_cells("D6:E6"))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (_zip_bomb, "Unpacked, the workbook has more than 24,000,000 bytes"),
        (_xml_bomb, "declares what no workbook needs"),
        (lambda: OLE + b"\x00" * 600, "an .xls workbook of the old kind"),
        (
            lambda: OLE + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le"),
            "locked with a password",
        ),
        (lambda: filled()[:5000], "is damaged"),
        (lambda: b"", "This is no .xlsx workbook"),
        (lambda: b'{"document": {}}', "This is no .xlsx workbook"),
        (lambda: csv_of(demo_document()).encode(), "send it as text/csv"),
        (lambda: with_cell("Read me", "B2", "another/1"), "not made from the template"),
        (lambda: with_cell("Herd", "D6", "=1+1"), "cell D6: a formula without its result"),
        (_merged, "D6:E6: merged cells"),
    ],
    ids=["zip-bomb", "xml-bomb", "xls", "password", "cut-off", "empty", "json", "csv", "foreign",
         "formula", "merged"],
)  # fmt: skip
def test_a_hostile_or_mistaken_file_is_a_sentence_and_stores_nothing(keeping, content, words):
    scenario, sheet = keeping.stored(demo_document()), content()
    for answer in (_sent(keeping, sheet), _put(keeping, scenario, sheet, **{"If-Match": "*"})):
        assert any(words in error["detail"] for error in _errors(answer)), answer.text
    assert _count(keeping) == 1
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 1


@pytest.mark.parametrize(
    "content",
    [b"input,value\r\nname,\xff\r\n", csv_of(demo_document()).encode("utf-16")],
    ids=["latin", "utf-16"],
)
def test_csv_in_another_encoding_is_refused_in_words(keeping, content):
    (error,) = _errors(_sent(keeping, content, CSV))
    assert "CSV UTF-8" in error["detail"]
    assert _count(keeping) == 0


@pytest.mark.parametrize("kind", [XLSX, CSV])
def test_an_answer_sheet_may_have_four_megabytes_and_json_one(keeping, kind):
    scenario = keeping.stored(demo_document())
    padding = b" " * (LARGEST_BODY + 1)
    for content, status in (
        (b"x" * 5 * MEGABYTE, 413),
        (b"x" * (LARGEST_SHEET + 1), 413),
        (padding, 422),
    ):
        sent = _sent(keeping, content, kind)
        put = _put(keeping, scenario, content, kind, **{"If-Match": '"1"'})
        for answer in (sent, put):
            _errors(answer, status)
            if status == 413:
                assert "4,000,000 bytes" in answer.json()["detail"]
    for as_json in (_sent(keeping, padding, JSON), _put(keeping, scenario, padding, JSON)):
        _errors(as_json, 413)
    elsewhere = keeping(
        "POST", "/v1/comparisons", "write", content=padding, headers={"Content-Type": kind}
    )
    copied = keeping(
        "POST",
        f"/v1/scenarios/{scenario}/copies",
        "write",
        content=padding,
        headers={"Content-Type": kind},
    )
    assert copied.status_code == 413
    assert elsewhere.status_code != 422
    assert _count(keeping) == 1


def test_an_answer_sheet_in_pieces_is_counted_too(keeping):
    async def pieces():
        for _ in range(5):
            yield b"x" * MEGABYTE

    _errors(_sent(keeping, pieces(), CSV), 413)


@pytest.mark.parametrize(
    "kind", ["application/vnd.ms-excel", "text/csv; charset=windows-1252", "application/zip"]
)
def test_another_type_is_told_which_are_taken(keeping, kind):
    answer = _sent(keeping, filled(), kind)
    _errors(answer, 415)
    assert answer.headers["accept"] == f"{JSON}, {XLSX}, {CSV}"


def test_a_patch_takes_no_answer_sheet(keeping):
    scenario = keeping.stored(demo_document())
    answer = keeping(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        content=filled(),
        headers={"Content-Type": XLSX, "If-Match": '"1"'},
    )
    _errors(answer, 415)


def test_the_same_sheet_under_the_same_key_is_stored_once(keeping):
    key = {"Idempotency-Key": "sheet-0417"}
    first, again = (_sent(keeping, filled(), **key) for _ in range(2))
    assert first.status_code == again.status_code == 201
    assert again.content == first.content
    assert again.headers["idempotency-replayed"] == "true"
    assert _count(keeping) == 1
    _errors(_sent(keeping, with_cell("Herd", "D6", 77), **key), 422)


def test_whoever_may_not_store_has_no_sheet_read_for_them(keeping):
    scenario = keeping.stored(demo_document())
    for token in ("read", keeping.link(scenario, "edit")):
        _errors(_sent(keeping, b"no workbook", by=token), 403)
    assert _count(keeping) == 1


def test_an_edit_link_may_send_the_sheet_back(keeping):
    scenario = keeping.stored(demo_document())
    answer = keeping(
        "PUT",
        f"/v1/scenarios/{scenario}",
        keeping.link(scenario, "edit"),
        content=with_cell("Herd", "D6", 77),
        headers={"Content-Type": XLSX, "If-Match": '"1"'},
    )
    assert answer.status_code == 200
    assert answer.json()["document"]["herd"]["cows"]["head"] == 77
