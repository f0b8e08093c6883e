"""The answer to a herd size question: points, the best, the plateau, edges, sale prices."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from service.analysis.herd_axes import AcresAxis, Axes, HeadAxis
from service.analysis.herd_earnings import NOTHING, Earnings, Size, price_of_same
from service.analysis.herd_points import Fed
from service.analysis.questions import HerdSize
from service.costing.checks.phrases import exact
from service.costing.wording import listed

PLATEAU = 0.02
"""Points whose margin is less than the best by no more than this share of it are as good."""

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Point:
    """One herd size, with its margin."""

    bought: float | None
    """Animals bought, or sold if less than 0, where that is the axis [head]."""
    acres: float | None
    fed: Fed
    size: Size
    margin: float
    """Not the whole where animals are left unfed [currency/year]."""

    @property
    def is_fed(self) -> bool:
        """Whether no animal is left unfed in any winter."""
        return self.fed.days_unfed == 0


@dataclass(frozen=True, slots=True)
class Points:
    """The points asked for, in their order, and those that today is held against."""

    grid: Sequence[Point]
    today: Point
    fewer: Point | None
    more: Point | None


@dataclass(frozen=True, slots=True)
class Sweep:
    """What the answer is of."""

    question: HerdSize
    currency: str
    axes: Axes
    earnings: Earnings
    horizon_years: float
    damage_held: bool
    """Whether the scale of damage is held at that of today's herd."""
    other_groups: Sequence[str]


def answer_of(sweep: Sweep, points: Points) -> Document:
    """Return the answer as a document."""
    fed = [point for point in points.grid if point.is_fed]
    best = max(fed, key=lambda point: point.margin, default=None)
    edges = [] if best is None else _edges(best, points.grid)
    earnings = sweep.earnings
    return {
        "system": sweep.question.system,
        "unit": f"{sweep.currency}/year",
        "head": _head(sweep.axes.head),
        "acres": _acres(sweep.axes.acres),
        "return_per_head": earnings.return_per_head,
        "other_costs_per_head": earnings.other_costs_per_head,
        "points": [_written(point) for point in points.grid],
        "today": _written(points.today),
        "best": None if best is None else _named(best),
        "plateau": [] if best is None else [_named(point) for point in _plateau(best, fed)],
        "at_edge": None if best is None else bool(edges),
        "edges": edges,
        "present_price_per_lb": earnings.present_price,
        "break_even_price_per_lb": _prices(earnings, points, best),
        "warnings": _warnings(sweep, points, best, edges),
    }


def _head(axis: HeadAxis) -> Document:
    return {"input": axis.path, "group": axis.group, "present": axis.present}


def _acres(axis: AcresAxis | None) -> Document | None:
    return axis and {"input": axis.path, "step": axis.step, "present": axis.present}


def _written(point: Point) -> Document:
    fed = point.is_fed
    return {
        **_place(point),
        "winter_cost": point.fed.winter_cost if fed else None,
        "farm_margin": point.margin if fed else None,
        "served_days": dict(point.fed.served_days),
        "fed": fed,
        "days_unfed": point.fed.days_unfed,
    }


def _named(point: Point) -> Document:
    return {**_place(point), "farm_margin": point.margin}


def _place(point: Point) -> Document:
    place = {"head": point.size.head, "bought": point.bought, "acres": point.acres}
    return {name: value for name, value in place.items() if value is not None}


def _plateau(best: Point, fed: Sequence[Point]) -> list[Point]:
    least = best.margin - abs(best.margin) * PLATEAU
    return [point for point in fed if point is not best and point.margin >= least]


def _edges(best: Point, grid: Sequence[Point]) -> list[str]:
    """Return the ends at which the best point lies, along each axis with several values.

    One point alone is no optimum either.
    """
    if len(grid) == 1:
        return ["fewest head", "most head"]
    same_acres = [point for point in grid if point.acres == best.acres]
    same_head = [point for point in grid if point.size.head == best.size.head]
    edges = _ends(best, same_acres, lambda point: point.size.head, "head")
    if best.acres is not None:
        edges += _ends(best, same_head, lambda point: point.acres or 0.0, "acres")
    return edges


def _ends(best: Point, line: Sequence[Point], of: Callable[[Point], float], what: str) -> list[str]:
    if len(line) == 1:
        return []
    own, fed = of(best), [of(point) for point in line if point.is_fed]
    found: list[str] = []
    for end, pick in (("fewest", min), ("most", max)):
        if own == pick(fed):
            at_border = own == pick(of(point) for point in line)
            found.append(f"{end} {what}" if at_border else f"{end} {what} that can be fed")
    return found


def _prices(earnings: Earnings, points: Points, best: Point | None) -> Document:
    """Return the sale prices that decide, each with the herd that it is told of."""
    best_size = best and best.size
    none_fed = "No herd size asked for can be fed."
    today = points.today.size
    return {
        "margin_zero": price_of_same(earnings, best_size, NOTHING, none_fed),
        "today_against_best": price_of_same(earnings, best_size, today, none_fed),
        "today_against_fewer": _beside(earnings, points.fewer, today, "fewer"),
        "today_against_more": _beside(earnings, points.more, today, "more"),
    }


def _beside(earnings: Earnings, point: Point | None, today: Size, word: str) -> Document:
    if point is None:
        return price_of_same(earnings, None, today, f"No herd with {word} animals was asked for.")
    if not point.is_fed:
        absent = f"{exact(point.size.head)} head cannot be fed on today's acres."
        return price_of_same(earnings, None, today, absent)
    return price_of_same(earnings, point.size, today, "")


def _warnings(sweep: Sweep, points: Points, best: Point | None, edges: Sequence[str]) -> list[str]:
    axes, found = sweep.axes, list[str]()
    unfed = [point for point in points.grid if not point.is_fed]
    if best is None:
        found.append("No herd size asked for can be fed through every winter by this plan.")
    elif unfed:
        found.append(
            f"Animals are left unfed in some winter at {len(unfed)} of {len(points.grid)} points; "
            "these have no margin and are not ranked."
        )
    if edges:
        found.append(
            f"The best point lies at the edge ({listed(edges)}), so it is no optimum: the best may "
            "lie beyond what was asked for."
        )
    if best is not None and best.acres == 0:
        found.append("0 acres means that nothing is shut: leave the step out of the plan.")
    if sweep.other_groups:
        found.append(
            f"The margin leaves out what {listed(sweep.other_groups)} earn; their winter is in "
            "the cost."
        )
    if axes.head.change.head or axes.head.bought:
        found.append(
            "What is paid or got for animals bought or sold is spread over "
            f"{exact(sweep.horizon_years)} years and counted in the margin."
        )
    else:
        found.append("What it takes to buy more animals, or is got for those sold, is not counted.")
    if sweep.damage_held:
        found.append(
            "The acres repaired last spring were damaged by today's herd; the scale they give is "
            "held, so damage grows and shrinks with the herd."
        )
    return found
