"""Files that are no workbook, or one that would do harm, are refused before they are opened.

Signatures: compound files begin with D0 CF 11 E0 A1 B1 1A E1 (Microsoft, MS-CFB, section 2.2,
from memory); a locked workbook is such a file with a stream EncryptedPackage (MS-OFFCRYPTO, section
1.3, from memory); an OpenDocument package has a member mimetype (OASIS, OpenDocument 1.3, part 2).
"""

import io
import tracemalloc
import zipfile

import pytest

from service.reports.answer_sheet import package
from tests.reports.answer_sheets import faults_of, filled, repacked, says, sheet_part, the_fault

OLE = bytes.fromhex("d0cf11e0a1b11ae1")
ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbbbbbbbb">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;">]>'
)
MEGABYTE = 1_000_000


def refused(data, *words):
    """Check that a file is refused with a sentence that has these words, and in no one cell."""
    fault = the_fault(data)
    assert fault.cell is None
    for word in words:
        assert word in fault.detail
    return fault


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no .xlsx workbook"),
        (b"input,value\r\nname,Farm\r\n", "if it is CSV, send it as text/csv"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "no .xlsx workbook"),
        (OLE + b"\x00" * 600, "an .xls workbook of the old kind"),
        (OLE + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
        (b"PK\x03\x04 and no more", "is damaged"),
        (b"x" * 4_000_001, "at most 4,000,000 are taken"),
    ],
)
def test_what_is_no_workbook_is_refused_with_what_to_send_instead(data, words):
    refused(data, words)


def test_other_packages_are_told_by_what_is_in_them():
    refused(repacked(lambda parts: parts.pop("xl/workbook.xml")), "no .xlsx workbook")
    refused(
        repacked(
            lambda parts: parts.update(mimetype=b"application/vnd.oasis.opendocument.spreadsheet")
        ),
        "OpenDocument",
    )
    refused(repacked(lambda parts: parts.update({"xl/workbook.bin": b""})), ".xlsb")


def test_macros_are_refused():
    refused(repacked(lambda parts: parts.update({"xl/vbaProject.bin": b"x"})), "has macros")

    def declared(parts):
        name = "[Content_Types].xml"
        parts[name] = parts[name].replace(b"sheet.main+xml", b"sheet.macroEnabled.main+xml")

    refused(repacked(declared), "has macros")


def test_a_locked_member_is_refused():
    data = bytearray(filled())
    central = data.index(b"PK\x01\x02")
    data[central + 8] |= 1  # general purpose bit 0 of the first member (APPNOTE, 4.4.4)
    refused(bytes(data), "locked with a password")


def test_a_zip_bomb_is_weighed_and_not_unpacked():
    def bomb(parts):
        parts["xl/media/image1.png"] = b"\x00" * 25 * MEGABYTE

    data = repacked(bomb)
    assert len(data) < MEGABYTE
    tracemalloc.start()
    refused(data, "Unpacked", "24,000,000")
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 10 * MEGABYTE


def test_what_is_packed_too_tightly_is_refused():
    data = repacked(lambda parts: parts.update({"xl/media/image1.png": b"\x00" * 9 * MEGABYTE}))
    refused(data, "packed too tightly")


def test_too_many_parts_and_two_of_one_name_are_refused():
    many = {f"xl/media/{number}.png": b"" for number in range(501)}
    refused(repacked(lambda parts: parts.update(many)), "too many parts")
    data = io.BytesIO(filled())
    with zipfile.ZipFile(data, "a") as archive, pytest.warns(UserWarning, match="Duplicate name"):
        archive.writestr("xl/workbook.xml", b"<a/>")
    refused(data.getvalue(), "too many parts")


def test_more_elements_than_memory_has_room_for_are_refused():
    def crowd(parts):
        parts["xl/styles.xml"] += b"".join(b'<x a="%d"/>' % number for number in range(400_000))

    refused(repacked(crowd), "far more than an answer sheet")


@pytest.mark.parametrize(
    "covering",
    [
        b'<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>',
        b"<x:mergeCell ref = '$A$1:$D$99999'/>",
        b'<mergeCell ref="&#65;1:XFD1048576"/>',
        b'<hyperlinks><hyperlink display="a" ref="B2:B1048576"/></hyperlinks>',
        b'<mergeCell ref="A:XFD"/>',
    ],
)
def test_merged_cells_and_links_over_everything_are_refused_unopened(covering):
    def covered(parts):
        parts["xl/worksheets/sheet3.xml"] += covering

    refused(repacked(covered), "cells are merged or linked")


@pytest.mark.parametrize(
    "part", ["xl/workbook.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet3.xml"]
)
def test_an_xml_bomb_is_refused(part):
    def armed(parts):
        text = parts[part].decode()
        parts[part] = (ENTITIES + text.partition("?>")[2]).encode()

    refused(repacked(armed), f"The part {part}", "declares")


def test_xml_in_another_encoding_cannot_hide_one():
    def hidden(parts):
        text = parts["xl/styles.xml"].decode()
        parts["xl/styles.xml"] = (ENTITIES + text.partition("?>")[2]).encode("utf-16")

    refused(repacked(hidden), "The part xl/styles.xml", "declares")


def test_the_library_would_not_open_one_either(monkeypatch):
    """The second fence: entities are not expanded even where the first look let them through."""
    monkeypatch.setattr(package, "DECLARATIONS", ())

    def armed(parts):
        text = parts["xl/sharedStrings.xml"].decode().partition("?>")[2]
        parts["xl/sharedStrings.xml"] = (ENTITIES + text.replace("Cows", "&d;")).encode()

    refused(repacked(armed), "is damaged")


@pytest.mark.parametrize(
    "part", ["xl/workbook.xml", "xl/styles.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet2.xml"]
)
@pytest.mark.parametrize("text", [b"", b"<a", b"<a/>", b"<?xml version='1.0'?>"])
def test_a_damaged_part_is_a_sentence(part, text):
    faults = faults_of(repacked(lambda parts: parts.update({part: text})))
    assert faults
    assert all(fault.detail for fault in faults)


def test_a_workbook_with_most_of_what_is_taken_is_read_in_little_memory():
    cells = b"".join(b'<c r="X%d"><v>1</v></c>' % row for row in range(6, 4_900))

    def crowd(parts):
        name = sheet_part("Margin")
        more = b"".join(
            b"<row>" + cells.replace(b'"X', b'"' + column) + b"</row>"
            for column in (b"X", b"Y", b"Z", b"AA", b"AB", b"AC", b"AD", b"AE", b"AF")
        )
        parts[name] = parts[name].replace(b"</sheetData>", more + b"</sheetData>")

    data = repacked(crowd)
    assert package.fault_of(data) is None
    tracemalloc.start()
    faults = faults_of(data)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert says(faults[0], "Margin!X6", "column X has no name")
    assert len(faults) == 9
    assert most < 100 * MEGABYTE
