"""What each input does to a system between its low and its high, all others as they are."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.analysis.draws import Drawn, drawn
from service.analysis.input_runs import scenario_with
from service.analysis.inputs import Known, known_of
from service.analysis.questions import Sensitivity
from service.analysis.ranges import InputRange
from service.analysis.sensitivity_inputs import MARGIN, asked_ranges
from service.analysis.subject import Subject
from service.analysis.work import AtOnce, Document, Work
from service.costing.draw_axis import fits_draw_axis
from service.costing.margin import has_herd_change
from service.costing.swings import Swing, by_rank, scores_by_draw, swings_of
from service.costing.units import Array
from service.costing.wording import listed

AT_ONCE = 60
"""Inputs of one run: few enough that most of the engine's numbers stay single ones."""


@dataclass(frozen=True, slots=True)
class _Ends:
    """What each system comes to at the low and the high of each input in turn, best first."""

    order: Sequence[str]
    scores: Array
    costs: Array
    short: NDArray[np.bool_]


def sensitivity(subject: Subject, question: Sensitivity) -> Work:
    """Return the work that answers what each input does.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    known = known_of(subject)
    inputs = asked_ranges(subject, known, question)
    return AtOnce(lambda: _answer(subject, known, inputs, question))


def _answer(
    subject: Subject, known: Known, inputs: Sequence[InputRange], question: Sensitivity
) -> Document:
    costing = known.costing
    systems = list(costing.systems)
    scores = scores_by_draw(costing, systems, 1)[:, 0].tolist()
    order = [systems[number] for number in by_rank(scores, systems)]
    system = question.system or order[0]
    by_margin = question.figure == MARGIN
    base = (
        -scores[systems.index(system)]
        if by_margin
        else float(costing.systems[system].account.annual_equivalent.value[0, 0])
    )
    ends = _ends(subject, inputs, order)
    place = order.index(system)
    figures = -ends.scores[place] if by_margin else ends.costs[place]
    swings = swings_of(ends.scores, order)
    currency = subject.scenario.currency
    rows: list[dict[str, Any]] = [
        _row(item, base, (float(figures[2 * n]), float(figures[2 * n + 1])), swing, currency)
        | {"unfed_at_low": _unfed(ends, 2 * n), "unfed_at_high": _unfed(ends, 2 * n + 1)}
        for n, (item, swing) in enumerate(zip(inputs, swings, strict=True))
    ]
    rows.sort(key=_largest_first)
    return {
        "system": system,
        "figure": question.figure,
        "unit": f"{currency}/year",
        "base": base,
        "best_system": order[0],
        "ranked_by": "farm_margin" if has_herd_change(costing) else "annual_equivalent_cost",
        "change_best": sorted(row["input"] for row in rows if row["changes_best"]),
        "rows": rows,
        "warnings": _warnings(rows),
    }


def _ends(subject: Subject, inputs: Sequence[InputRange], order: Sequence[str]) -> _Ends:
    """Run both ends of every input: many inputs in one run, or one run for each end."""
    shape = (len(order), 2 * len(inputs))
    ends = _Ends(order, np.empty(shape), np.empty(shape), np.empty(shape, bool))
    together = iter([n for n, item in enumerate(inputs) if fits_draw_axis(item.path)])
    while numbers := list(islice(together, AT_ONCE)):
        found = drawn(subject.scenario, _varied([inputs[n] for n in numbers]), order)
        places = [place for n in numbers for place in (2 * n, 2 * n + 1)]
        _keep(ends, places, found)
    for n, item in enumerate(inputs):
        if not fits_draw_axis(item.path):
            for place, end in ((2 * n, item.low), (2 * n + 1, item.high)):
                scenario = scenario_with(subject, item.path, end)
                _keep(ends, [place], drawn(scenario, {}, order))
    return ends


def _keep(ends: _Ends, places: Sequence[int], found: Drawn) -> None:
    ends.scores[:, places] = found.scores
    ends.costs[:, places] = found.costs
    ends.short[:, places] = found.short


def _varied(inputs: Sequence[InputRange]) -> dict[str, Array]:
    """Return the values of each input: its low and its high in their turn, else its base."""
    varied: dict[str, Array] = {}
    for position, item in enumerate(inputs):
        values = np.full(2 * len(inputs), item.base)
        values[2 * position : 2 * position + 2] = item.low, item.high
        varied[item.path] = values
    return varied


def _row(
    item: InputRange, base: float, figures: tuple[float, float], swing: Swing, currency: str
) -> dict[str, Any]:
    at_low, at_high = figures
    return {
        "input": item.path,
        "meaning": item.meaning,
        "unit": item.unit.replace("currency", currency),
        "low": item.low,
        "base": item.base,
        "high": item.high,
        "at_low": at_low,
        "at_high": at_high,
        "swing": abs(at_high - at_low),
        "elasticity": elasticity_of(item, base, at_high - at_low),
        "best_at_low": swing.best_at_low,
        "best_at_high": swing.best_at_high,
        "lead_at_low": swing.lead_at_low,
        "lead_at_high": swing.lead_at_high,
        "changes_best": swing.changes_best,
        "origin": item.origin,
        "source": item.source,
        "unverified": item.unverified,
        "find_out": item.find_out,
    }


def elasticity_of(item: InputRange, base: float, change: float) -> float | None:
    """Return by how many percent a figure moves with one percent of an input, over its range.

    Parameters
    ----------
    item : InputRange
        The input.
    base : float
        The figure as things stand.
    change : float
        The figure at the high of the input less that at its low.

    Returns
    -------
    float or None
        None where there is no base to take a percentage of, or no range.
    """
    if item.base == 0 or base == 0 or item.high == item.low:
        return None
    return (change / base) / ((item.high - item.low) / item.base)


def _largest_first(row: dict[str, Any]) -> tuple[float, str]:
    return -float(row["swing"]), row["input"]


def _unfed(ends: _Ends, place: int) -> list[str]:
    return [system for system, short in zip(ends.order, ends.short[:, place], strict=True) if short]


def _warnings(rows: Sequence[dict[str, Any]]) -> list[str]:
    """Say where a cost is not the whole."""
    unfed: dict[str, list[str]] = {}
    for row in rows:
        for end in ("low", "high"):
            for system in row[f"unfed_at_{end}"]:
                unfed.setdefault(system, []).append(f"{row['input']} at its {end}")
    return [
        f"{system} leaves animals unfed with {listed(ends)}: its cost there is not the whole."
        for system, ends in unfed.items()
    ]
