"""Every value of one input, inside a range, at which two systems cost the same."""

import re
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.analysis.break_even_faults import prepared_for
from service.analysis.compared import Compared, difference_of, stretches
from service.analysis.crossings import (
    NOUGHT,
    Crossing,
    Crossings,
    Line,
    Stretch,
    crossings_of,
    crossings_on,
)
from service.analysis.draws import Drawn
from service.analysis.inputs import Allowed, Known, is_number
from service.analysis.questions import BreakEven
from service.analysis.subject import Subject
from service.analysis.work import AtOnce, Document, Work
from service.costing.checks.phrases import exact
from service.costing.margin import has_herd_change
from service.costing.swings import scores_by_draw
from service.costing.units import Array
from service.costing.wording import listed

GRID = 129
"""Values at which both systems are worked before anything is sought."""
COARSE_GRID = 33
"""The same where each value takes a run of its own."""
HEAD = re.compile(r"herd\.[a-z0-9_]+\.head")


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two systems, and how they are held against each other."""

    first: str
    second: str
    by_margin: bool

    def cheaper(self, sign: int) -> str | None:
        """Return which is better where the difference has a sign; None where it is not known."""
        return None if sign == 0 else self.first if sign < 0 else self.second

    def figures(self, found: Drawn, place: int) -> dict[str, float]:
        """Return what both are held against each other by, at one value."""
        by = -found.scores if self.by_margin else found.costs
        return {self.first: float(by[0, place]), self.second: float(by[1, place])}


def break_even(subject: Subject, question: BreakEven) -> Work:
    """Return the work that answers at which values two systems cost the same.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    compared, known, allowed = prepared_for(subject, question)
    return AtOnce(lambda: _answer(compared, known, allowed, question))


def _answer(compared: Compared, known: Known, allowed: Allowed, question: BreakEven) -> Document:
    pair = _Pair(*question.systems, has_herd_change(known.costing))
    values = _grid(compared, allowed, question)
    found = compared.at(values)
    line = Line(values, *difference_of(found))
    crossings = (
        crossings_on(line)
        if allowed.whole
        else crossings_of(compared.difference, line, fine=compared.together)
    )
    base = known.values.get(question.input)
    currency = known.costing.case.scenario.currency
    same = bool(np.all(line.signs == 0))
    return {
        "input": question.input,
        "meaning": allowed.meaning,
        "unit": allowed.unit.replace("currency", currency),
        "low": float(question.low),
        "base": float(base) if is_number(base) else None,
        "high": float(question.high),
        "ranked_by": "farm_margin" if pair.by_margin else "annual_equivalent_cost",
        "figure_unit": f"{currency}/year",
        "at_base": _at_base(known, pair) if is_number(base) else None,
        "at_low": pair.figures(found, 0),
        "at_high": pair.figures(found, -1),
        "points": _points(compared, pair, crossings),
        "jumps": [_jump(question.input, pair, jump, allowed) for jump in crossings.jumps],
        "equal_between": [_stretch(pair, stretch) for stretch in crossings.equal],
        "same_throughout": same,
        "cheaper_throughout": _throughout(pair, line, crossings),
        "warnings": _warnings(compared, allowed, values, found),
    }


def _grid(compared: Compared, allowed: Allowed, question: BreakEven) -> Array:
    if allowed.whole:
        return np.arange(question.low, question.high + 1)
    return np.linspace(question.low, question.high, GRID if compared.together else COARSE_GRID)


def _at_base(known: Known, pair: _Pair) -> dict[str, float]:
    costing = known.costing
    keys = [pair.first, pair.second]
    if pair.by_margin:
        values = (-scores_by_draw(costing, keys, 1)[:, 0]).tolist()
    else:
        values = [float(costing.systems[key].account.annual_equivalent.value[0, 0]) for key in keys]
    return dict(zip(keys, values, strict=True))


def _points(compared: Compared, pair: _Pair, crossings: Crossings) -> list[dict[str, Any]]:
    roots = crossings.roots
    if not roots:
        return []
    found = compared.at(np.array([root.value for root in roots]))
    return [
        {
            "value": root.value,
            "annual_equivalent_cost": None if pair.by_margin else float(found.costs[0, place]),
            "farm_margin": -float(found.scores[0, place]) if pair.by_margin else None,
            "costs": {
                pair.first: float(found.costs[0, place]),
                pair.second: float(found.costs[1, place]),
            },
            **_sides(pair, root),
        }
        for place, root in enumerate(roots)
    ]


def _sides(pair: _Pair, found: Crossing | Stretch) -> dict[str, str | None]:
    return {
        "cheaper_below": pair.cheaper(found.below),
        "cheaper_above": pair.cheaper(found.above),
    }


def _jump(path: str, pair: _Pair, jump: Crossing, allowed: Allowed) -> dict[str, Any]:
    below, above = pair.cheaper(jump.below), pair.cheaper(jump.above)
    why = (
        "it counts in whole numbers"
        if allowed.whole
        else "something is counted whole, or falls into another class, there"
    )
    return {
        "value": jump.value,
        **_sides(pair, jump),
        "sentence": f"{below} is cheaper below {exact(jump.value)} and {above} from there on; "
        f"at no value of {path} do both cost the same, since {why}.",
    }


def _stretch(pair: _Pair, stretch: Stretch) -> dict[str, Any]:
    return {"low": stretch.low, "high": stretch.high, **_sides(pair, stretch)}


def _throughout(pair: _Pair, line: Line, crossings: Crossings) -> str | None:
    """Return the system that is cheaper at every value, None if neither is."""
    if crossings.roots or crossings.jumps or crossings.equal:
        return None
    return pair.cheaper(int(line.signs[0]))


def _warnings(compared: Compared, allowed: Allowed, values: Array, found: Drawn) -> list[str]:
    warnings: list[str] = []
    path = compared.path
    if not compared.together and not allowed.whole:
        warnings.append(
            f"{path} needs a run of its own for each value, so {len(values)} values were looked "
            "at; two crossings closer together than these would be missed."
        )
    moves = max(np.ptp(found.scores, axis=1).max(), np.ptp(found.costs, axis=1).max())
    if moves <= NOUGHT * np.abs(found.costs).max():
        warnings.append(f"{path} moves neither system's cost in this range.")
    land = compared.subject.scenario.land
    if HEAD.fullmatch(path) and land.acres_repaired_last_spring is not None:
        warnings.append(
            "The acres repaired last spring are taken for those of any head, so that the baseline "
            "wears the ground alike whatever the head."
        )
    for number, system in enumerate(compared.systems):
        where = stretches(values.tolist(), found.short[number].tolist())
        if where:
            warnings.append(
                f"{system} leaves animals unfed with {path} {_said(where)}: its cost there is not "
                "the whole, and it may seem cheaper than it is."
            )
    return warnings


def _said(where: list[tuple[float, float]]) -> str:
    return listed(
        f"at {exact(low)}" if low == high else f"from {exact(low)} to {exact(high)}"
        for low, high in where
    )
