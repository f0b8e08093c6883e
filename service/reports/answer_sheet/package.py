"""Whether a file is a workbook that can be opened without harm, looked at before it is opened.

A workbook is a ZIP archive of XML (ISO/IEC 29500). What is packed a thousandfold, holds a document
type or is locked is refused here, with a sentence that says what to send instead.
"""

import io
import re
from collections.abc import Iterator
from zipfile import BadZipFile, ZipFile, ZipInfo

LARGEST = 4_000_000
"""Most bytes of a file as sent."""

MOST_UNPACKED = 24_000_000
"""Most bytes of all that is in it."""

MOST_MARKS = 400_000
"""Most elements begun and ended: each may take a thousand bytes of memory when it is read."""

MOST_COVERED = 100_000
"""Most cells that merged cells and links cover together: each is made when it is read."""

MOST_FILES = 500
MOST_RATIO = 200
RATIO_MATTERS_FROM = 1_000_000
"""Small files may be packed as tightly as they like."""

OLE = bytes.fromhex("d0cf11e0a1b11ae1")
"""First bytes of a compound file: a workbook of before 2007, or a locked one inside."""

LOCKED = "EncryptedPackage".encode("utf-16-le")
ZIP = b"PK"
WORKBOOK = "xl/workbook.xml"
TYPES = "[Content_Types].xml"
MACROS = b"macroEnabled"
OPEN_DOCUMENT = "mimetype"
BINARY = "xl/workbook.bin"
DECLARATIONS = (b"<!DOCTYPE", b"<!ENTITY")
MARK = b"<"
COVERING = re.compile(rb"(?:mergeCell|hyperlink)\s[^>]*?\bref\s*=\s*[\"']([^\"']*)")
AREA = re.compile(r"\$?([A-Z]{1,3})\$?(\d{1,7})(?::\$?([A-Z]{1,3})\$?(\d{1,7}))?")
ENCRYPTED = 1
PLAIN_ENCODINGS = (b"<?xml", b"<", b"\xef\xbb\xbf<")
"""How XML in UTF-8 begins; in another encoding it would pass the look for declarations."""


def fault_of(data: bytes) -> str | None:
    """Return what is wrong with a file before it is opened, in a sentence; or None."""
    if len(data) > LARGEST:
        return f"The file has {len(data):,} bytes; at most {LARGEST:,} are taken."
    if data.startswith(OLE):
        return _of_compound_file(data)
    if not data.startswith(ZIP):
        return "This is no .xlsx workbook" + _guess(data)
    try:
        with ZipFile(io.BytesIO(data)) as archive:
            return next(_of_archive(archive), None)
    # zipfile raises NotImplementedError for a packing that it does not know, RuntimeError for a
    # locked file, and the others where sizes and places in the archive contradict each other.
    except (BadZipFile, ValueError, NotImplementedError, OSError, EOFError, RuntimeError):
        return "The workbook is damaged and cannot be opened; save it anew and send it again."


def _of_compound_file(data: bytes) -> str:
    if LOCKED in data:
        return "The workbook is locked with a password; save it without one and send it again."
    return "This is an .xls workbook of the old kind; save it as .xlsx and send it again."


def _guess(data: bytes) -> str:
    if b"\x00" not in data[:1000] and data.count(b",") + data.count(b";") > 0:
        return "; if it is CSV, send it as text/csv."
    return "; save it as .xlsx and send it again."


def _of_archive(archive: ZipFile) -> Iterator[str]:
    """Say what is wrong, the cheapest to find first; nothing is unpacked before it is weighed."""
    files = archive.infolist()
    names = [file.filename for file in files]
    if any(file.flag_bits & ENCRYPTED for file in files):
        yield "The workbook is locked with a password; save it without one and send it again."
    if len(files) > MOST_FILES or len(set(names)) < len(names):
        yield "The workbook is made of too many parts; save a copy of it and send that."
    if _is_too_heavy(files):
        yield (
            f"Unpacked, the workbook has more than {MOST_UNPACKED:,} bytes, or is packed too "
            "tightly; clear what does not belong in it."
        )
        return
    if OPEN_DOCUMENT in names:
        yield "This is an OpenDocument file; save it as .xlsx and send it again."
    if BINARY in names:
        yield "This is an .xlsb workbook; save it as .xlsx and send it again."
    if WORKBOOK not in names or TYPES not in names:
        yield "This is no .xlsx workbook; save it as .xlsx and send it again."
        return
    if MACROS in archive.read(TYPES) or any(name.endswith("vbaProject.bin") for name in names):
        yield "The workbook has macros; save it as .xlsx, without them, and send it again."
    yield from _of_contents(archive, files)


def _is_too_heavy(files: list[ZipInfo]) -> bool:
    return sum(file.file_size for file in files) > MOST_UNPACKED or any(
        file.file_size > RATIO_MATTERS_FROM
        and file.file_size > MOST_RATIO * max(file.compress_size, 1)
        for file in files
    )


def _of_contents(archive: ZipFile, files: list[ZipInfo]) -> Iterator[str]:
    marks = covered = 0
    for file in files:
        if not file.filename.endswith((".xml", ".rels", ".vml")):
            continue
        text = archive.read(file)
        marks += text.count(MARK)
        covered += sum(map(_area, COVERING.findall(text)))
        declares = any(declaration in text for declaration in DECLARATIONS)
        if declares or not text.lstrip().startswith(PLAIN_ENCODINGS):
            yield (
                f"The part {file.filename[:100]} of the workbook declares what no workbook "
                "needs; save a copy of it and send that."
            )
            return
    if marks > MOST_MARKS:
        yield (
            "The workbook holds far more than an answer sheet; clear what does not belong in it, "
            "formats too."
        )
    if covered > MOST_COVERED:
        yield (
            f"More than {MOST_COVERED:,} cells are merged or linked; unmerge them and clear the "
            "links."
        )


def _area(ref: bytes) -> int:
    """Return how many cells a reference covers; too many where it cannot be told."""
    found = AREA.fullmatch(ref.decode("ascii", "replace"))
    if found is None:
        return MOST_COVERED + 1
    left, top, right, bottom = found.groups()
    width = _number_of(right or left) - _number_of(left)
    return (abs(width) + 1) * (abs(int(bottom or top) - int(top)) + 1)


def _number_of(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - ord("A") + 1
    return number
