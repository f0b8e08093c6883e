"""A picture against the answer as JSON, and a workbook against a bare loop over its cells."""

import json
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import openpyxl
import orjson
import xlsxwriter

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.reports.pictures import picture
from service.reports.results_workbook.workbook import workbook_of
from service.web.reading import scenario_of
from tests.benchmarks.measure import Measure
from tests.benchmarks.ratio import compared

UNSAVED = {"scenario": None, "external_id": None, "revision": None}
ROUNDS = 9
Cells = dict[str, list[tuple[int, int, Any]]]


def report_measures() -> Iterator[Measure]:
    """T12 and T12b: a stacked bar of the demo, and its workbook."""
    document = demo_document()
    answer = costing_document(cost(scenario_of(document)), given=document)
    body = json.loads(orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY))
    drawn = compared(lambda: picture("cost_by_group", body), lambda: orjson.dumps(body), ROUNDS)
    yield drawn.ratio("T12 stacked bar / the answer as JSON", most=10, aim=4)
    cells = _cells(workbook_of(body, UNSAVED))
    book = compared(lambda: workbook_of(body, UNSAVED), lambda: _bare(cells), ROUNDS)
    yield book.ratio("T12b workbook / bare loop over its cells", most=1.3, aim=1.1)
    yield Measure("   of it: cells", sum(map(len, cells.values())), "")


def _cells(content: bytes) -> Cells:
    """Return what stands in each cell of a workbook, by sheet."""
    book = openpyxl.load_workbook(BytesIO(content))
    return {
        sheet.title: [
            (cell.row - 1, cell.column - 1, cell.value)
            for row in sheet.iter_rows()
            for cell in row
            if cell.value is not None
        ]
        for sheet in book
    }


def _bare(cells: Cells) -> None:
    book = xlsxwriter.Workbook(BytesIO(), {"in_memory": True, "strings_to_formulas": False})
    for title, filled in cells.items():
        sheet = book.add_worksheet(title)
        for row, column, value in filled:
            sheet.write(row, column, value)
    book.close()
