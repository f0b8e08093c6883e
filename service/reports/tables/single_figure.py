"""One figure of a costing, asked for by its path: the content of a single cell."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from service.costing.errors import Fault, InputError, nearest
from service.costing.figures_catalog import SYSTEM
from service.costing.input_paths import LONGEST_NAME
from service.costing.lines import LINES
from service.reports.tables.figure_paths import FigurePath, Values, costing_figures, system_figures
from service.reports.tables.splitting import HEAD, HEAD_DAY, groups_of, splits_of
from service.reports.tables.table import CURRENCY, in_currency

Document = Mapping[str, Any]

FIGURE, YEAR, PER = "figure", "year", "per"
BEST, BASELINE = "best", "baseline"
MONEY_PER_YEAR = f"{CURRENCY}/year"
LINE_START = "lines."
TOTAL = ".total"
ADDED_UP = ("quantities.acres_damaged", "quantities.served_days")
"""Maps whose parts have one unit and may be asked for together."""

MOST_LISTED = 8
"""No fault lists more names than this."""


class CellValue(NamedTuple):
    """What stands in the cell; None where the figure does not exist for the system."""

    value: str | float | None
    unit: str


def figure_of(
    body: Document,
    figure: str,
    system: str | None = None,
    *,
    year: int | None = None,
    per: str | None = None,
) -> CellValue:
    """Return one figure of a costing.

    Parameters
    ----------
    body : mapping
        The costing as a document.
    figure : str
        Its path below the system, or below the costing: ``lines.hay_wasted``, ``best_system``.
        ``quantities.acres_damaged.total`` and ``quantities.served_days.<step>`` are added up.
    system : str, optional
        A key, ``best`` or ``baseline``; not needed for a figure of the whole costing.
    year : int, optional
        Turns a line into its flow in that year, from 0.
    per : str, optional
        Splits money a year by ``head`` or ``head_day`` (of a group: ``head.cows``) or by
        ``ton_dm_eaten``; ``year`` leaves it as it is.

    Raises
    ------
    InputError
        If there is no such figure or system, naming the nearest, or year or per do not fit.
    """
    whole, values = costing_figures(body)
    listed, by_system = system_figures(body)
    units = {found.path: found.unit for found in (*whole, *listed)}
    sums = _sums(listed)
    units |= {path: units[parts[0]] for path, parts in sums.items()}
    faults = [] if figure in units else [_unknown(FIGURE, figure, tuple(units))]
    number = None
    if figure not in values:
        number, of_system = _position(body, system)
        faults.extend(of_system)
    faults.extend(_misfits(body, figure, units.get(figure), year, per))
    if faults:
        raise InputError(faults)
    unit = in_currency(units[figure], body["currency"])
    if number is None:
        return CellValue(values[figure], unit)
    chosen, own = body["systems"][number], by_system[number]
    if figure in sums:
        return CellValue(_added_up(sums[figure], own), unit)
    if year is not None:
        return CellValue(_flow(chosen, figure, year), body["currency"])
    value = own.get(figure)
    if per is None or per == YEAR:
        return CellValue(value, unit)
    split = splits_of(body)[per]
    shared = None if value is None else split.of(chosen, value)
    return CellValue(shared, f"{body['currency']}/{split.unit}")


def _sums(listed: Sequence[FigurePath]) -> dict[str, list[str]]:
    """Return the paths of the parts of what can be added up, by the paths of the sum."""
    sums: dict[str, list[str]] = {}
    for found in listed:
        start = found.path.rpartition(".")[0]
        if start.startswith(ADDED_UP):
            for name in (start, start + TOTAL):
                sums.setdefault(name, []).append(found.path)
    return sums


def _added_up(parts: Sequence[str], own: Values) -> float | None:
    known = [own[path] for path in parts if own.get(path) is not None]
    return sum(known) if known else None


def _flow(system: Document, figure: str, year: int) -> float:
    key = figure.removeprefix(LINE_START)
    line = next(line for line in system["lines"] if line["line"] == key)
    return line["by_year"][year]


def _position(body: Document, system: str | None) -> tuple[int | None, list[Fault]]:
    """Return the place of a system among those of the costing, and what is wrong with its name."""
    keys = [item[SYSTEM] for item in body["systems"]]
    words = {BEST: body["best_system"], BASELINE: body["comparison"]["baseline"]}
    known = (*words, *keys)
    if system is None:
        detail = f"This is a figure of a system; name one: {_some(known)}."
        return None, [Fault(SYSTEM, detail, allowed=_some(known))]
    key = words.get(system, system)
    if key not in keys:
        return None, [_unknown(SYSTEM, system, known)]
    return keys.index(key), []


def _misfits(
    body: Document, figure: str, unit: str | None, year: int | None, per: str | None
) -> Iterator[Fault]:
    """Yield what is wrong with year and per."""
    is_line = figure.startswith(LINE_START) and figure.removeprefix(LINE_START) in LINES
    last = len(body["systems"][0]["lines"][0]["by_year"]) - 1
    if year is not None and unit is not None and not is_line:
        detail = f"{figure} has no years; a line has them, as lines.hay_eaten."
        yield Fault(YEAR, detail, received=year)
    elif year is not None and not 0 <= year <= last:
        detail = f"There is no year {year}; the last is {last}."
        yield Fault(YEAR, detail, received=year, allowed=f"0 to {last}", unit=YEAR)
    if per is None or per == YEAR:
        return
    if per not in splits_of(body):
        yield _unknown_split(body, per)
    elif year is not None:
        yield Fault(PER, "Money of one year is not split; leave out year or per.", received=per)
    elif unit is not None and unit != MONEY_PER_YEAR:
        yield Fault(PER, f"Only money a year is split; {figure} is not.", received=per)


def _unknown_split(body: Document, per: str) -> Fault:
    known = (YEAR, *splits_of(body))
    if per not in {HEAD, HEAD_DAY}:
        return _unknown(PER, per, known)
    first, *_ = groups = groups_of(body)
    allowed = _some([f"{per}.{group}" for group in groups])
    detail = f"The cost a head differs from group to group; name one: {allowed}."
    return Fault(PER, detail, received=per, allowed=allowed, suggestion=f"{per}.{first}")


def _unknown(name: str, word: str, known: Sequence[str]) -> Fault:
    word = word[:LONGEST_NAME]
    near = nearest(word, known)
    hint = f"did you mean {near}?" if near else f"there are {_some(known)}."
    return Fault(name, f"There is no {name} {word!r}; {hint}", received=word, suggestion=near)


def _some(names: Sequence[str]) -> str:
    shown = ", ".join(names[:MOST_LISTED])
    return f"{shown} and more" if len(names) > MOST_LISTED else shown
