"""Tables, the workbook of results and single cells of the demo farm, made and over HTTP."""

import json

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.reports.results_workbook.workbook import workbook_of
from service.reports.tables.costing_tables import TABLES, table
from service.reports.tables.single_figure import figure_of
from service.web.app import create_app
from service.web.reading import scenario_of
from service.web.tables import table as as_csv
from tests.benchmarks.measure import Measure, least
from tests.web.keeping import Keeping

UNSAVED = {"scenario": None, "external_id": None, "revision": None}
ROUNDS = 9
MOST_SERVED, MOST_BOOK = 60, 400


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
        *_served(),
    ]


def _served() -> list[Measure]:
    """Return what the same take of a stored costing, from request to answer."""
    keeping = Keeping(create_app())
    scenario = keeping.stored(demo_document())
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").headers["Content-Location"]

    def measured(name: str, path: str, most: float | None = None) -> Measure:
        def read() -> None:
            answer = keeping.get(path, "read")
            assert answer.status_code == 200, answer.text

        return Measure(f"over HTTP, stored: {name}", least(read, ROUNDS), "ms", most)

    cell = f"/v1/cell/lines.labor?scenario={scenario}&system=best"
    return [
        measured("lines as CSV", f"{costing}.csv", MOST_SERVED),
        measured("figures as CSV", f"{costing}.csv?table=figures", MOST_SERVED),
        measured("a single cell", cell, MOST_SERVED),
        measured("a single cell with a setting", f"{cell}&set.hay.price_per_ton=99"),
        measured("XLSX", f"{costing}.xlsx", MOST_BOOK),
    ]
