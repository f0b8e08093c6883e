"""Tables and the workbook of results, on the demo farm."""

import json

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.reports.results_workbook.workbook import workbook_of
from service.reports.tables.costing_tables import TABLES, table
from service.reports.tables.single_figure import figure_of
from service.web.reading import scenario_of
from service.web.tables import table as as_csv
from tests.benchmarks.measure import Measure, least

UNSAVED = {"scenario": None, "external_id": None, "revision": None}
ROUNDS = 9


def spreadsheet_measures() -> list[Measure]:
    """Return what the workbook, the tables and a single cell take."""
    document = demo_document()
    costing = costing_document(cost(scenario_of(document)), given=document)
    body = json.loads(json.dumps(costing))

    def all_tables() -> None:
        for name in TABLES:
            found = table(name, body, UNSAVED)
            as_csv(found.names, found.rows)

    first = least(lambda: workbook_of(body, UNSAVED), 1)  # with what is imported for it
    return [
        Measure("XLSX of the demo, the first", first, "ms"),
        Measure("XLSX of the demo", least(lambda: workbook_of(body, UNSAVED), ROUNDS), "ms", 400),
        Measure("the six tables of the demo as CSV", least(all_tables, ROUNDS), "ms"),
        Measure(
            "a single cell", least(lambda: figure_of(body, "lines.labor", "best"), ROUNDS), "ms"
        ),
    ]
