"""Documents to write into answer sheets, and answer sheets spoilt on purpose."""

import io
import json
import re
import zipfile
from functools import cache
from pathlib import Path

import openpyxl
from hypothesis import strategies as st

from service.costing.errors import InputError
from service.costing.input_tree import (
    DATE,
    NAME,
    NAMES,
    NUMBER,
    NUMBER_OR_WORD,
    NUMBERS,
    TEXT,
    WORD,
    WORDS,
    YES_NO,
    Leaf,
    ListOf,
    MapOf,
    OneOf,
    Record,
    WordOrMap,
    input_tree,
)
from service.demo import demo_document
from service.reports.answer_sheet import read_workbook, template
from service.reports.answer_sheet.layout import layout

WORKED_FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
NAMES_OF_FARMS = ("demo", "worked_farm", "worked_farm_edges", "worked_farm_rows")

REFERENCE_KEYS = ("hay_waste.ring_open", "hay_storage_loss.barn", "intake.ewe.lactation.low")
HOSTILE = (
    "",
    " ",
    "=1+1",
    " =1+1",
    "'=1",
    "+1",
    "@a",
    "-2",
    "(none)",
    "'(not given)",
    '"quoted"',
    "'\"",
    "a\r\nb",
    "\ttab",
    "_x0041_",
    "x005F_",
    "\x01",
    "\u202eabc",
    "\ufffe",
    "<script>",
    "1,5",
    "590 kg",
    'a;b,c"d',
    "\U0001f404",
    "\\x000D_",
)


def farm(name):
    """Return one of the farms by name."""
    if name == "demo":
        return demo_document()
    return json.loads((WORKED_FARMS / f"{name}.json").read_text("utf-8"))


def documents():
    """Draw any document that fits the tree of inputs, sensible or not."""
    return _values(input_tree())


def _keys():
    return st.from_regex(r"\A[a-z][a-z0-9_]{0,8}\Z")


def _values(shape):
    if isinstance(shape, Leaf):
        return _leaves(shape)
    if isinstance(shape, Record):
        return _records(shape)
    if isinstance(shape, OneOf):
        return st.one_of(
            [
                _records(record, {shape.field: st.just(word)})
                for word, record in shape.choices.items()
            ]
        )
    if isinstance(shape, WordOrMap):
        return _leaves(shape.word) | _values(shape.by_key)
    if isinstance(shape, MapOf):
        keys = _keys() if shape.keys else st.sampled_from(REFERENCE_KEYS)
        return st.dictionaries(keys, _values(shape.items), max_size=2)
    assert isinstance(shape, ListOf)
    return st.lists(_values(shape.items), max_size=3)


def _records(record, fixed=None):
    fixed = fixed or {}
    required, optional = dict(fixed), {}
    for name, member in record.members.items():
        if name not in fixed:
            values = _values(member.shape)
            values = values | st.none() if member.nullable else values
            (required if member.required else optional)[name] = values
    return st.fixed_dictionaries(required, optional=optional)


def _numbers():
    wide = st.floats(allow_nan=False, allow_infinity=False)
    return wide | st.integers(-(2**53), 2**53) | st.integers(0, 5000).map(lambda n: n / 100)


def _leaves(leaf):
    if leaf.sort == TEXT and leaf.entry.pattern:
        return st.from_regex(leaf.entry.pattern, fullmatch=True)
    words = st.sampled_from(leaf.choices or ("any",))
    text = st.sampled_from(HOSTILE) | st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
    return {
        NUMBER: _numbers(),
        NUMBERS: st.lists(_numbers(), max_size=4),
        NUMBER_OR_WORD: _numbers(),
        YES_NO: st.booleans(),
        WORD: words,
        WORDS: st.lists(words, max_size=3),
        NAME: _keys(),
        NAMES: st.lists(_keys(), max_size=3),
        DATE: st.sampled_from(["12-01", "02-28", "10-31", "01-02"]),
        TEXT: text,
    }[leaf.sort]


@cache
def filled():
    """Return the answer sheet of the demo farm."""
    return template(demo_document())


def spoilt(change):
    """Return the demo's answer sheet after a change to the open workbook."""
    workbook = openpyxl.load_workbook(io.BytesIO(filled()))
    change(workbook)
    data = io.BytesIO()
    workbook.save(data)
    return data.getvalue()


def repacked(change, data=None):
    """Return an answer sheet with its parts changed: a mapping of name to bytes."""
    with zipfile.ZipFile(io.BytesIO(data or filled())) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    change(parts)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return packed.getvalue()


def with_cell(sheet, cell, value):
    """Return the demo's answer sheet with one cell changed."""

    def in_xml(parts):
        name = sheet_part(sheet)
        parts[name] = parts[name].replace(cell_xml(parts[name], cell), _xml_of(cell, value))

    def in_workbook(workbook):
        workbook[sheet][cell] = value

    if isinstance(value, str | int | float) and has_cell(sheet, cell):
        return repacked(in_xml)
    return spoilt(in_workbook)


def _xml_of(cell, value):
    """Return a cell as XML: numbers, text, formulas without a result, and errors."""
    if isinstance(value, bool):
        return f'<c r="{cell}" t="b"><v>{value:d}</v></c>'.encode()
    if isinstance(value, int | float):
        return f'<c r="{cell}"><v>{value!r}</v></c>'.encode()
    if value.startswith("="):
        return f'<c r="{cell}"><f>{value[1:]}</f></c>'.encode()
    if value.startswith("#"):
        return f'<c r="{cell}" t="e"><f>A1</f><v>{value}</v></c>'.encode()
    return f'<c r="{cell}" t="inlineStr"><is><t xml:space="preserve">{value}</t></is></c>'.encode()


def sheet_part(sheet):
    """Return the name of the part that holds a sheet."""
    return f"xl/worksheets/sheet{layout().sheets.index(sheet) + 1}.xml"


def cell_xml(part, cell):
    """Return the XML of a cell."""
    found = _search(part, cell)
    assert found is not None
    return found.group()


def _search(part, cell):
    return re.search(rb'<c r="' + cell.encode() + rb'"[^>]*?(?:/>|>.*?</c>)', part)


def has_cell(sheet, cell):
    """Whether the demo's answer sheet has a cell, empty or not."""
    with zipfile.ZipFile(io.BytesIO(filled())) as archive:
        return _search(archive.read(sheet_part(sheet)), cell) is not None


def faults_of(data):
    """Return what is wrong with a workbook."""
    try:
        read_workbook(data)
    except InputError as error:
        return list(error.faults)
    return []


def the_fault(data):
    """Return the one thing that is wrong with a workbook."""
    faults = faults_of(data)
    assert len(faults) == 1, faults
    return faults[0]


def says(fault, cell, *words):
    """Whether a fault names its cell and says these words."""
    sheet, _, where = cell.partition("!")
    said = f"Sheet {sheet}, cell {where}: "
    return fault.cell == cell and all(re.search(word, fault.detail) for word in (said, *words))
