"""The six tables of a costing, as CSV, JSON records and sheets have them."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Literal, NamedTuple, get_args

from service.costing.charges import Kind
from service.costing.errors import Fault, InputError, nearest
from service.costing.wording import sentence, spoken
from service.reports.tables.figure_paths import FigurePath, costing_figures, system_figures
from service.reports.tables.inputs_listed import ListedInput, inputs_of
from service.reports.tables.table import (
    Column,
    Row,
    Table,
    identified,
    identity,
    in_currency,
    plain,
)

Document = Mapping[str, Any]
Shape = Literal["wide", "long"]

KINDS: tuple[str, ...] = get_args(Kind)
PAID = "paid"
VALUE, UNIT = Column("value", "Value"), Column("unit", "Unit")
SYSTEM, TITLE = Column("system", "System"), Column("system_title", "Title of the system")
FIRST_FIGURE = "rank"
WORD = "word"
"""Unit of a figure that is no number."""


class _Made(NamedTuple):
    columns: Sequence[Column]
    rows: Iterator[Row]


def _lines(body: Document) -> _Made:
    """One row a system and line; the kinds of money are parts of the value, in its unit."""
    unit = f"{body['currency']}/year"
    columns = (
        SYSTEM,
        TITLE,
        Column("line", "Line"),
        Column("line_title", "Title of the line"),
        Column("group", "Group"),
        VALUE,
        UNIT,
        *(Column(kind, sentence(spoken(kind)), unit) for kind in KINDS),
    )
    rows = (
        _called(system)
        | {
            "line": line["line"],
            "line_title": line["title"],
            "group": line["group"],
            "value": line["annual_equivalent"],
            "unit": unit,
            **{kind: line["by_kind"].get(kind, 0.0) for kind in KINDS},
        }
        for system in body["systems"]
        for line in system["lines"]
    )
    return _Made(columns, rows)


def _cash_flow(body: Document) -> _Made:
    """One row a system, line and year, not discounted."""
    columns = (
        SYSTEM,
        Column("line", "Line"),
        Column("year", "Year"),
        Column("cash", "Paid in money"),
        VALUE,
        UNIT,
    )
    rows: Iterator[Row] = (
        {
            "system": system["system"],
            "line": line["line"],
            "year": year,
            "cash": all_paid(line),
            "value": value,
            "unit": body["currency"],
        }
        for system in body["systems"]
        for line in system["lines"]
        for year, value in enumerate(line["by_year"])
    )
    return _Made(columns, rows)


def all_paid(line: Document) -> bool | None:
    """Whether all of a line is paid out in money; None where a part is, or there is no money."""
    kinds = [kind for kind, value in line["by_kind"].items() if value]
    if PAID not in kinds:
        return False if kinds else None
    return True if len(kinds) == 1 else None


def _figures(body: Document) -> _Made:
    """One row a system, one column a figure; those of the whole costing are on each row."""
    listed, by_system = _all_figures(body)
    columns = (SYSTEM, TITLE, *(_column(body, figure) for figure in listed))
    rows = (
        _called(system) | {figure.path: own.get(figure.path) for figure in listed}
        for system, own in zip(body["systems"], by_system, strict=True)
    )
    return _Made(columns, rows)


def _long_figures(body: Document) -> _Made:
    """One row a system and figure; words are left out."""
    listed, by_system = _all_figures(body)
    columns = (SYSTEM, Column("figure", "Figure"), VALUE, UNIT)
    rows: Iterator[Row] = (
        {
            "system": system["system"],
            "figure": figure.path,
            "value": own.get(figure.path),
            "unit": in_currency(figure.unit, body["currency"]),
        }
        for system, own in zip(body["systems"], by_system, strict=True)
        for figure in listed
        if figure.unit != WORD
    )
    return _Made(columns, rows)


def _all_figures(body: Document) -> tuple[list[FigurePath], list[Row]]:
    """Return all figures, rank first, and their values by system, the costing's own in each."""
    listed, by_system = system_figures(body)
    of_costing, whole = costing_figures(body)
    listed.sort(key=lambda figure: figure.path != FIRST_FIGURE)
    return [*listed, *of_costing], [{**whole, **own} for own in by_system]


def _column(body: Document, figure: FigurePath) -> Column:
    return Column(
        figure.path, figure.meaning.rstrip("."), in_currency(figure.unit, body["currency"])
    )


def _by_winter(body: Document) -> _Made:
    """One row a system and winter."""
    columns = (SYSTEM, TITLE, Column("season", "Winter"), VALUE, UNIT)
    rows = (
        _called(system)
        | {
            "season": winter["season"],
            "value": winter["annual_equivalent_cost"],
            "unit": f"{body['currency']}/year",
        }
        for system in body["systems"]
        for winter in system["by_winter"]
    )
    return _Made(columns, rows)


def _ground_days(body: Document) -> _Made:
    """One row a system, step and ground state: the days that the step serves in a mean winter."""
    columns = (
        SYSTEM,
        TITLE,
        Column("step", "Step"),
        Column("method", "Method"),
        Column("ground_state", "Ground"),
        Column("days", "Days served", "day"),
    )
    systems = body["inputs_used"]["systems"]
    rows: Iterator[Row] = (
        _called(system)
        | {
            "step": step["key"],
            "method": step["method"],
            "ground_state": state,
            "days": days,
        }
        for system in body["systems"]
        for step in systems[system["system"]]["plan"]
        for state, days in system["quantities"]["served_days"][step["key"]].items()
    )
    return _Made(columns, rows)


def _inputs(body: Document) -> _Made:
    """One row an input; range and source are those of the reference value behind it."""
    columns = (
        Column("input", "Input"),
        Column("title", "Title"),
        VALUE,
        UNIT,
        Column("origin", "Where it is from"),
        Column("reference_key", "Reference value"),
        Column("low", "Low"),
        Column("usual", "Usual"),
        Column("high", "High"),
        Column("source", "Source of the reference value"),
        Column("where", "Where in the source"),
        Column("unverified", "From memory, to be checked"),
    )
    return _Made(columns, (_input(body, found) for found in inputs_of(body)))


def _input(body: Document, found: ListedInput) -> Row:
    row = found.row
    known: Row = {
        "input": found.path,
        "title": found.title,
        "value": plain(found.value),
        "unit": in_currency(found.unit, body["currency"]),
        "origin": body["origins"].get(found.path),
    }
    if row is None:
        return known
    same_money = row.currency in {None, body["currency"]}
    return known | {
        "reference_key": row.key,
        "low": row.low if same_money else None,
        "usual": row.usual if same_money else None,
        "high": row.high if same_money else None,
        "source": found.source,
        "where": row.where or None,
        "unverified": row.unverified,
    }


def _called(system: Document) -> Row:
    return {"system": system["system"], "system_title": system["title"]}


TABLES: Mapping[str, Callable[[Document], _Made]] = {
    "lines": _lines,
    "cash_flow": _cash_flow,
    "figures": _figures,
    "by_winter": _by_winter,
    "ground_days": _ground_days,
    "inputs": _inputs,
}
"""The tables by name; the first is the one that is given where none is named."""


def table(name: str, body: Document, about: Document, shape: Shape = "wide") -> Table:
    """Return one table of a costing.

    Parameters
    ----------
    name : str
        One of `TABLES`.
    body : mapping
        The costing as a document.
    about : mapping
        ``scenario``, ``external_id`` and ``revision``; None where nothing is stored.
    shape : str
        ``long`` gives ``figures`` one row a system and figure; the others have one shape.

    Raises
    ------
    InputError
        If there is no such table, naming the nearest, or it has no such shape.
    """
    if name not in TABLES:
        near = nearest(name, tuple(TABLES))
        known = ", ".join(TABLES)
        detail = f"There is no table {name!r}; there are {known}."
        raise InputError([Fault("table", detail, name, known, suggestion=near)])
    make = TABLES[name]
    if shape == "long":
        if make is not _figures:
            detail = f"The table {name} has one shape only; figures can be long."
            raise InputError([Fault("shape", detail, shape)])
        make = _long_figures
    made = make(body)
    return identified(name, made.columns, identity(body, about), made.rows)
