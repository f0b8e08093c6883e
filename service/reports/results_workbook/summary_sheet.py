"""The first sheet: whose costing it is, the systems compared, and two charts."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.costing.lines import GROUPS
from service.reports.results_workbook.key_figures import (
    BEST_SYSTEM,
    WINTER_DAYS,
    key_figures,
    names_of,
)
from service.reports.results_workbook.sheet_writer import (
    HEAD,
    REMARK,
    SMALL_HEAD,
    TITLE,
    WRAPPED,
    Book,
    SheetWriter,
)
from service.reports.results_workbook.table_sheets import (
    BY_WINTER,
    SYSTEM_WIDTH,
    TITLE_WIDTH,
    UNIT_WIDTH,
)

Document = Mapping[str, Any]

SUMMARY = "Summary"
UNNAMED = "This farm"
DISCLAIMER = (
    "Planning figures from the answers given for this costing; not an engineering design, a permit,"
    " a grant decision, veterinary or tax advice."
)
NAMES_TOLD = (
    "Key figures have names that formulas can use: annual_equivalent_cost_best, "
    "first_cost_baseline, rank_ with the key of a system."
)
FIRST_SYSTEM = 2
"""Column of the first system; before it stand title and unit."""

CHART = {"x_scale": 1.9, "y_scale": 1.6}
CHART_ROWS = 26
"""Rows that a chart covers."""

FILLS = (
    ("#5b7f2b", "percent_75"),
    ("#b5651d", "wide_upward_diagonal"),
    ("#4a6fa5", "small_grid"),
    ("#8c8c3a", "dark_horizontal"),
    ("#7a4e7e", "dotted_grid"),
)
"""Colour and pattern of each group: they can be told apart in grey."""

MARKERS = ("circle", "square", "triangle", "diamond", "x", "plus", "star")
DASHES = ("solid", "dash", "round_dot", "dash_dot", "long_dash", "square_dot", "long_dash_dot")
COLORS = ("#1f4e79", "#b5651d", "#3d6b1f", "#7a4e7e", "#8a1c1c", "#4d4d4d", "#00727a")


def add_summary(book: Book, body: Document, about: Document) -> None:
    """Add the summary, with a defined name for each key figure of each system."""
    writer = SheetWriter.added(book, SUMMARY, body["currency"])
    row = _write_heading(writer, body, about)
    row = _write_systems(writer, body, row + 1)
    row = _write_check_first(writer, body, row + 1)
    groups = row + 2
    row = _write_groups(writer, body, groups)
    writer.sheet.set_h_pagebreaks([groups])
    _insert_groups_chart(writer, body, groups, row + 1)
    _insert_winters_chart(writer, body, row + 1 + CHART_ROWS)
    writer.widths(*_widths(body))


def _write_heading(writer: SheetWriter, body: Document, about: Document) -> int:
    """Write whose costing it is; return the row after it."""
    used = body["inputs_used"]
    writer.write(0, 0, used.get("name") or UNNAMED, TITLE)
    writer.write(1, 0, DISCLAIMER, REMARK)
    writer.write(2, 0, NAMES_TOLD, REMARK)
    titles = {system["system"]: system["title"] for system in body["systems"]}
    known = (
        ("Cheapest system", body[BEST_SYSTEM], BEST_SYSTEM, titles[body[BEST_SYSTEM]]),
        ("Held against", body["comparison"]["baseline"], "", titles[_baseline(body)]),
        ("Ranked by", body["ranked_by"].replace("_", " "), "", None),
        ("Days of a mean winter", body["winter"]["days"], WINTER_DAYS, None),
        ("Winters", body["winter"]["winters"], "", None),
        ("Scenario", about.get("scenario") or "not stored", "", None),
        ("External id", about.get("external_id"), "", None),
        ("Revision", about.get("revision"), "", None),
        ("Currency", body["currency"], "", None),
        ("Prices of", used.get("price_year"), "", None),
        ("Engine version", body["engine_version"], "", None),
        ("Reference edition", body["reference_edition"], "", None),
        ("Content key", body["content_key"], "", None),
    )
    first = 4
    for row, (title, value, name, more) in enumerate(known, start=first):
        writer.write(row, 0, title)
        writer.write(row, 1, value, unit="day" if name == WINTER_DAYS else "")
        writer.write(row, FIRST_SYSTEM, more)
        if name:
            _define(writer, name, row, 1)
    return first + len(known)


def _baseline(body: Document) -> str:
    return body["comparison"]["baseline"]


def _write_systems(writer: SheetWriter, body: Document, row: int) -> int:
    """Write the key figures, a column a system; return the row after them."""
    _write_system_heads(writer, body, row, "Systems compared")
    row += 2
    writer.sheet.freeze_panes(0, 1)
    for shown in key_figures(body):
        writer.write_row(row, [shown.figure.title, shown.unit])
        for number, value in enumerate(shown.values):
            writer.write(row, FIRST_SYSTEM + number, value, unit=shown.unit)
        for name, number in names_of(shown.figure, body):
            if shown.values[number] is not None:
                _define(writer, name, row, FIRST_SYSTEM + number)
        row += 1
    titles = {system["system"]: system["title"] for system in body["systems"]}
    ties = ["; ".join(titles[key] for key in system["tie_with"]) for system in body["systems"]]
    called = ["Too close to call on money with", None, *(tie or None for tie in ties)]
    writer.write_wrapped(row, called, _widths(body), WRAPPED)
    return row + 1


def _widths(body: Document) -> list[float]:
    return [TITLE_WIDTH, UNIT_WIDTH, *([SYSTEM_WIDTH] * len(body["systems"]))]


def _write_system_heads(writer: SheetWriter, body: Document, row: int, title: str) -> None:
    heads = [title, "Unit", *(system["title"] for system in body["systems"])]
    writer.write_wrapped(row, heads, _widths(body), HEAD)
    writer.write_row(row + 1, [None, None, *(s["system"] for s in body["systems"])], SMALL_HEAD)


def _write_check_first(writer: SheetWriter, body: Document, row: int) -> int:
    """Write the guesses that are worth finding out; return the row after them."""
    guesses: Sequence[Document] = body["check_first"]
    if not guesses:
        return row
    heads = ("Check first: nobody gave these", "Unit", "Low", "Taken as", "High", "Find it out")
    writer.write_row(row, heads, HEAD)
    for guess in guesses:
        row += 1
        writer.write_wrapped(row, [guess["meaning"]], [TITLE_WIDTH], WRAPPED)
        values = (guess["unit"], guess["low"], guess["usual"], guess["high"], guess["find_out"])
        for column, value in enumerate(values, start=1):
            writer.write(row, column, value, unit=guess["unit"])
    return row + 1


def _write_groups(writer: SheetWriter, body: Document, row: int) -> int:
    """Write what the first chart shows: the cost by group of lines; return the row after it."""
    unit = f"{body['currency']}/year"
    _write_system_heads(writer, body, row, "Annual equivalent cost by group")
    row += 2
    for group, title in GROUPS.items():
        writer.write_row(row, [title, unit])
        for column, system in enumerate(body["systems"], start=FIRST_SYSTEM):
            parts = (
                line["annual_equivalent"] for line in system["lines"] if line["group"] == group
            )
            writer.write(row, column, sum(parts), unit=unit)
        row += 1
    return row


def _insert_groups_chart(writer: SheetWriter, body: Document, head: int, row: int) -> None:
    last = FIRST_SYSTEM + len(body["systems"]) - 1
    chart: Any = writer.book.add_chart({"type": "bar", "subtype": "stacked"})
    for number, (color, pattern) in enumerate(FILLS):
        at = head + 2 + number
        chart.add_series(
            {
                "name": [SUMMARY, at, 0],
                "categories": [SUMMARY, head, FIRST_SYSTEM, head, last],
                "values": [SUMMARY, at, FIRST_SYSTEM, at, last],
                "pattern": {"pattern": pattern, "fg_color": color, "bg_color": "#ffffff"},
                "border": {"color": "#333333", "width": 0.75},
                "gap": 60,
            }
        )
    unit = f"{body['currency']} a year"
    chart.set_title({"name": f"What a year costs, {unit}", "overlay": False})
    chart.set_x_axis({"num_format": "#,##0", "name": unit})
    chart.set_y_axis({"reverse": True, "label_position": "low"})
    chart.set_legend({"position": "bottom"})
    described = {"description": "Stacked bars: annual equivalent cost of each system by group."}
    writer.sheet.insert_chart(row, 0, chart, {**CHART, **described})


def _insert_winters_chart(writer: SheetWriter, body: Document, row: int) -> None:
    seasons = len(body["systems"][0]["by_winter"])
    kind = "line" if seasons > 1 else "column"
    chart: Any = writer.book.add_chart({"type": kind})
    for number in range(len(body["systems"])):
        column = FIRST_SYSTEM + number
        color = COLORS[number % len(COLORS)]
        looks: dict[str, Any] = {"fill": {"color": color}}
        if kind == "line":
            mark = {"type": MARKERS[number % len(MARKERS)], "size": 7, "border": {"color": color}}
            dash = DASHES[number % len(DASHES)]
            looks = {"marker": mark, "line": {"color": color, "width": 1.5, "dash_type": dash}}
        chart.add_series(
            {
                "name": [BY_WINTER, 0, column],
                "categories": [BY_WINTER, 2, 0, seasons + 1, 0],
                "values": [BY_WINTER, 2, column, seasons + 1, column],
                **looks,
            }
        )
    unit = f"{body['currency']} a year"
    chart.set_title({"name": f"If every winter were like one of them, {unit}", "overlay": False})
    chart.set_y_axis({"num_format": "#,##0", "name": unit})
    chart.set_legend({"position": "bottom"})
    described = {"description": "Annual equivalent cost of each system in each winter."}
    writer.sheet.insert_chart(row, 0, chart, {**CHART, **described})


def _define(writer: SheetWriter, name: str, row: int, column: int) -> None:
    """Give a cell of the summary a name for the whole workbook."""
    writer.book.define_name(name, f"={SUMMARY}!{writer.address(row, column)}")
