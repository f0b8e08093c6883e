"""Each system in the driest, the median and the wettest winter, and after the driest autumn."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.analysis.questions import WinterTypes
from service.analysis.subject import Subject
from service.analysis.winter_order import TypedWinter, typed_winters
from service.analysis.work import AtOnce, Work
from service.costing.averages import winters_of
from service.costing.engine import Costing, SystemCosting, cost
from service.costing.errors import Fault, InputError, nearest
from service.costing.figure import Figure
from service.costing.figures_catalog import figures
from service.costing.lines import LINES
from service.costing.margin import earned_before_winter, has_herd_change
from service.costing.units import STATES, Array

WHOLE = "annual_equivalent_cost"
PAID = "out_of_pocket"
FIGURES = (WHOLE, PAID, *(f"lines.{line}" for line in LINES))
"""The figures that are worked for each winter."""

BY_MARGIN = "farm_margin"


@dataclass(frozen=True, slots=True)
class _Compared:
    """What each system comes to in each winter, by system."""

    values: Mapping[str, Array]
    scores: Mapping[str, Array]
    """What systems are ranked by, the least first."""


def winter_types(subject: Subject, question: WinterTypes) -> Work:
    """Return the work that answers how systems stand in winters of each type.

    Raises
    ------
    InputError
        If the figure is not one that is worked for each winter.
    """
    if question.figure not in FIGURES:
        raise InputError([_unknown(question.figure)])
    return AtOnce(lambda: _answer(subject, question.figure))


def figure_by_winter(costing: Costing, system: SystemCosting, figure: str) -> Array:
    """Return one of `FIGURES` for a horizon of each winter, shape (rows,) [currency/year]."""
    account = system.account
    if figure == WHOLE:
        found = account.by_winter
    else:
        line = figure.removeprefix("lines.")
        found = account.part_by_winter(
            [
                entry.kind == "paid" if figure == PAID else entry.line == line
                for entry in account.entries
            ]
        )
    return _flat(costing, found)


def _answer(subject: Subject, figure: str) -> dict[str, Any]:
    costing = cost(subject.scenario)
    typed, warnings = typed_winters(subject.scenario.winter, subject.autumn_rain_in)
    compared = _compared(costing, figure)
    by_margin = has_herd_change(costing)
    if by_margin:
        warnings.append(
            "Systems keep different herds, so they are ranked by farm margin in each winter; the "
            "values are costs and need not stand in that order."
        )
    return {
        "figure": figure,
        "unit": f"{subject.scenario.currency}/year",
        "ranked_by": BY_MARGIN if by_margin else figure,
        "winters": [_written(item, compared) for item in typed],
        "warnings": warnings,
    }


def _compared(costing: Costing, figure: str) -> _Compared:
    values = {
        key: figure_by_winter(costing, system, figure) for key, system in costing.systems.items()
    }
    if not has_herd_change(costing):
        return _Compared(values, values)
    scores = {
        key: _flat(costing, system.account.by_winter)
        - winters_of(costing.winters, Figure(earned_before_winter(costing, key), ""))[0]
        for key, system in costing.systems.items()
    }
    return _Compared(values, scores)


def _written(item: TypedWinter, compared: _Compared) -> dict[str, Any]:
    days = item.row.ground_days
    scores = {key: float(found[item.number]) for key, found in compared.scores.items()}
    order = sorted(scores, key=lambda key: (scores[key], key))
    ranked = sorted(scores.values())
    return {
        "type": item.name,
        "rule": item.rule,
        "season": item.season,
        "weight": float(item.row.weight),
        "ground_days": {state: float(getattr(days, state)) for state in STATES},
        "systems": [
            {
                "system": key,
                "value": float(compared.values[key][item.number]),
                "rank": ranked.index(scores[key]) + 1,
            }
            for key in order
        ],
    }


def _flat(costing: Costing, figure: Figure) -> Array:
    found = winters_of(costing.winters, figure)
    return np.reshape(found, (-1, found.shape[-1]))[0]


def _unknown(figure: str) -> Fault:
    near = nearest(figure, FIGURES)
    is_known = any(known.path == figure for known in figures())
    what = "is not worked for each winter" if is_known else "is no figure"
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        "figure",
        f"{figure[:60]!r} {what}{hint}",
        received=figure,
        allowed=f"{WHOLE}, {PAID}, or lines. and the key of a line",
        suggestion=near,
    )
