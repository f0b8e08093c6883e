"""What is kept of the plans that were looked at: the cheapest that meet the limits, and counts."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.analysis.plan_runs import COST, Figures, Shape
from service.costing.units import Array


@dataclass(frozen=True, slots=True)
class Kept:
    """One plan that is worth keeping: where it stands among all plans, and what it comes to."""

    layout: int
    which: int
    steps: int
    title: str
    figures: Mapping[str, float]

    @property
    def order(self) -> tuple[float, int, str, int, int]:
        """What plans are sorted by: cost, then steps, then words."""
        return self.figures[COST], self.steps, self.title, self.layout, self.which


@dataclass(slots=True)
class Tally:
    """What some plans came to."""

    searched: int = 0
    not_valid: int = 0
    unfed: int = 0
    feasible: int = 0
    best: list[Kept] = field(default_factory=list[Kept])
    cheapest_over: dict[str, float] = field(default_factory=dict[str, float])
    """For each limit the cheapest plan that breaks it."""
    nearest: dict[str, Kept] = field(default_factory=dict[str, Kept])
    """For each limit the plan that breaks it least."""

    def document(self) -> dict[str, Any]:
        """Return the tally as it is written down between parts."""
        return asdict(self)

    @classmethod
    def of(cls, document: Mapping[str, Any]) -> "Tally":
        """Return the tally that was written down."""
        counts: dict[str, Any] = {
            **document,
            "best": [Kept(**item) for item in document["best"]],
            "nearest": {name: Kept(**item) for name, item in document["nearest"].items()},
        }
        return cls(**counts)


@dataclass(frozen=True)
class Counter:
    """Holds plans against limits, and puts together what was found in parts."""

    limits: Mapping[str, float]
    top: int

    def tally(
        self,
        layouts: Sequence[int],
        shapes: Sequence[Shape],
        found: Sequence[Figures | None],
        title_of: Callable[[Shape, int], str],
    ) -> Tally:
        """Return the tally of some layouts.

        Parameters
        ----------
        layouts : sequence of int
            Their numbers.
        shapes : sequence of Shape
            The layouts with the choices that were looked at.
        found : sequence of Figures or None
            What they came to.
        title_of : callable
            Words for one choice, by its place among those that were looked at.
        """
        tally = Tally(searched=sum(len(shape.which) for shape in shapes))
        rows: list[tuple[int, int]] = []
        parts: list[Figures] = []
        for number, (shape, figures) in enumerate(zip(shapes, found, strict=True)):
            if figures is None:
                tally.not_valid += len(shape.which)
                continue
            tally.unfed += int(figures.unfed.sum())
            rows += [(number, place) for place in np.flatnonzero(~figures.unfed).tolist()]
            parts.append(figures)
        if not rows:
            return tally
        values = {
            name: np.concatenate([part.values[name][~part.unfed] for part in parts])
            for name in parts[0].values
        }
        over = {name: np.maximum(0.0, values[name] - most) for name, most in self.limits.items()}

        def kept(row: int) -> Kept:
            number, place = rows[row]
            shape = shapes[number]
            return Kept(
                layout=layouts[number],
                which=shape.which[place],
                steps=len(shape.layout.steps),
                title=title_of(shape, place),
                figures={name: float(several[row]) for name, several in values.items()},
            )

        meets = np.ones(len(rows), bool)
        for each in over.values():
            meets &= each == 0
        tally.feasible = int(meets.sum())
        tally.best = self._first([kept(row) for row in self._cheapest(values[COST], meets)])
        for name, each in over.items():
            broken = each > 0
            if broken.any():
                tally.cheapest_over[name] = float(values[COST][broken].min())
            row = self._nearest_row(name, over, values[COST])
            tally.nearest[name] = kept(row)
        return tally

    def together(self, tallies: Iterable[Tally]) -> Tally:
        """Return one tally of several."""
        whole = Tally()
        for part in tallies:
            whole.searched += part.searched
            whole.not_valid += part.not_valid
            whole.unfed += part.unfed
            whole.feasible += part.feasible
            whole.best = self._first([*whole.best, *part.best])
            for name, cost in part.cheapest_over.items():
                whole.cheapest_over[name] = min(cost, whole.cheapest_over.get(name, cost))
            for name, item in part.nearest.items():
                rival = whole.nearest.get(name, item)
                whole.nearest[name] = min(rival, item, key=lambda one: self._miss(name, one))
        return whole

    def misses(self, figures: Mapping[str, float]) -> dict[str, float]:
        """Return by how much figures are over the limits that they break."""
        return {
            name: figures[name] - most for name, most in self.limits.items() if figures[name] > most
        }

    def binding(self, tally: Tally) -> list[str]:
        """Return the limits that exclude a plan cheaper than the cheapest that meets them all."""
        best = tally.best[0].figures[COST] if tally.best else float("inf")
        return [name for name in self.limits if tally.cheapest_over.get(name, best) < best]

    def _first(self, several: list[Kept]) -> list[Kept]:
        return sorted(several, key=lambda one: one.order)[: self.top]

    def _cheapest(self, costs: Array, meets: NDArray[np.bool_]) -> list[int]:
        """Return the rows that may be among the first, with all that cost the same as the last."""
        rows = np.flatnonzero(meets)
        if len(rows) > self.top:
            most = np.partition(costs[rows], self.top - 1)[self.top - 1]
            rows = rows[costs[rows] <= most]
        return rows.tolist()

    def _nearest_row(self, limit: str, over: Mapping[str, Array], costs: Array) -> int:
        whole = sum(
            (each / (self.limits[name] or 1.0) for name, each in over.items()),
            start=np.zeros(len(costs)),
        )
        return int(np.lexsort((costs, whole, over[limit]))[0])

    def _miss(self, limit: str, kept: Kept) -> tuple[float, float, tuple[Any, ...]]:
        over = self.misses(kept.figures)
        whole = sum(each / (self.limits[name] or 1.0) for name, each in over.items())
        return over.get(limit, 0.0), whole, kept.order
