"""Where a difference is nought along a line: crossings, touchings, jumps, and stretches of nought.

The line is looked at on a grid. Between two points of unlike sign a root is found by scipy's
bracketing method; where the difference comes near nought and turns back, its turning point is
sought, so that two roots between two points of the grid are found as well as one.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.costing.units import Array

NOUGHT = 1e-11
"""A difference of two costs of so small a share of them is float noise."""
CLOSE = 1e-9
"""A root is one where the costs differ by no more than this share of them."""
XRTOL = 1e-13
XRTOL_OF_TURNING = 1e-10
FINE = 32
"""Parts into which the neighborhood of a turning point is cut."""
MOST_STEPS = 80

Difference = Callable[[Array], tuple[Array, Array]]
"""From values to the difference there, and the size of what differs."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """One value at which the difference is nought, or jumps across it.

    ``below`` and ``above`` are the signs of the difference beside it; 0 at an end of the line.
    """

    value: float
    below: int
    above: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where the difference is nought over more than a point."""

    low: float
    high: float
    below: int
    above: int


@dataclass(frozen=True, slots=True)
class Crossings:
    """All that a line has, each in order."""

    roots: list[Crossing] = field(default_factory=list[Crossing])
    jumps: list[Crossing] = field(default_factory=list[Crossing])
    equal: list[Stretch] = field(default_factory=list[Stretch])


@dataclass(slots=True)
class Line:
    """A difference along a line, known at some values."""

    values: Array
    differences: Array
    sizes: Array

    @property
    def signs(self) -> NDArray[np.int_]:
        """-1, 0 or 1 at each value; float noise is 0."""
        near = np.abs(self.differences) <= NOUGHT * self.sizes
        return np.where(near, 0, np.sign(self.differences)).astype(int)

    def add(self, values: Array, differences: Array, sizes: Array) -> None:
        """Take in what has been worked at more values."""
        together, first = np.unique(np.concatenate([self.values, values]), return_index=True)
        self.differences = np.concatenate([self.differences, differences])[first]
        self.sizes = np.concatenate([self.sizes, sizes])[first]
        self.values = together

    def turning(self) -> list[int]:
        """Return the inner points where the difference may reach nought and turn back.

        It does not between two points of the grid unless it changes from one to the next by about
        as much as is left to nought.
        """
        left = np.abs(self.differences)
        steps = np.abs(np.diff(self.differences))
        signs = self.signs
        found: list[int] = []
        for i in range(1, len(left) - 1):
            alike = signs[i] != 0 and signs[i - 1] == signs[i] == signs[i + 1]
            lowest = left[i] <= left[i - 1] and left[i] <= left[i + 1]
            if alike and lowest and left[i] < 2 * max(steps[i - 1], steps[i]):
                found.append(i)
        return found

    def ends(self) -> list[int]:
        """Return the ends of the line where the same may be."""
        left = np.abs(self.differences)
        steps = np.abs(np.diff(self.differences))
        signs = self.signs
        found: list[int] = []
        if len(left) > 2:  # noqa: PLR2004 - three points have a next but one
            for end, beside, step in ((0, 1, 1), (len(left) - 1, len(left) - 2, len(steps) - 2)):
                near = left[end] < 2 * max(steps[step], abs(left[end] - left[beside]))
                if signs[end] == signs[beside] != 0 and left[end] <= left[beside] and near:
                    found.append(end)
        return found

    def lone_noughts(self) -> list[int]:
        """Return the points that are nought and have none beside them."""
        signs = self.signs
        beside = np.concatenate([[1], signs, [1]])
        return np.flatnonzero((signs == 0) & (beside[:-2] != 0) & (beside[2:] != 0)).tolist()


def line_of(difference: Difference, values: Array) -> Line:
    """Work the difference on a grid."""
    return Line(values, *difference(values))


def crossings_on(line: Line) -> Crossings:
    """Return what a line has whose values cannot be split: every change of sign is a jump.

    The value of a jump is the first after it.
    """
    found = Crossings()
    _take_in_noughts(line, found)
    signs = line.signs
    for i in _changes(signs):
        found.jumps.append(Crossing(float(line.values[i + 1]), int(signs[i]), int(signs[i + 1])))
    return _in_order(found)


def crossings_of(difference: Difference, line: Line, *, fine: bool = True) -> Crossings:
    """Return all that a line has.

    Parameters
    ----------
    difference : callable
        Works the difference at any values of the line.
    line : Line
        Worked on a grid; takes in what is worked besides.
    fine : bool
        Whether turning points are sought, which takes many more values.
    """
    found = Crossings()
    if fine:
        _look_closer(difference, line)
        found.roots.extend(_touched(difference, line))
    _take_in_noughts(line, found)
    _split(difference, line, found)
    _widen(difference, line, found)
    return _in_order(found)


def _elementwise() -> Any:  # noqa: ANN401 - scipy publishes no types
    """Return scipy's root finders, whose import takes a third of a second, when first needed."""
    return import_module("scipy.optimize.elementwise")


def _look_closer(difference: Difference, line: Line) -> None:
    """Cut the neighborhoods of all turning points and single noughts, in one run."""
    values = line.values
    last = len(values) - 1
    cells = {
        cell
        for i in (*line.turning(), *line.ends(), *line.lone_noughts())
        for cell in (i - 1, i)
        if 0 <= cell < last
    }
    if cells:
        starts, ends = (values[[cell + shift for cell in sorted(cells)]] for shift in (0, 1))
        more: Array = np.linspace(starts, ends, FINE + 1)[1:-1].ravel()
        line.add(more, *difference(more))


def _touched(difference: Difference, line: Line) -> list[Crossing]:
    """Seek turning points; return those at nought, and take the others into the line.

    One that lies beyond nought has a root on either side of it, which its place in the line tells.
    """
    turning = line.turning()
    if not turning:
        return []
    signs = line.signs[turning].astype(float)
    brackets = tuple(line.values[[i + shift for i in turning]] for shift in (-1, 0, 1))

    def left(values: Array, sign: Array) -> Array:
        differences, _ = difference(np.ravel(values))
        return sign * differences.reshape(values.shape)

    def stop(state: Any) -> None:  # noqa: ANN401 - scipy's own, of no published type
        if np.all(state.f_x < 0):
            raise StopIteration

    found = _elementwise().find_minimum(
        left,
        brackets,
        args=(signs,),
        tolerances={"xatol": 0, "xrtol": XRTOL_OF_TURNING, "fatol": 0, "frtol": 0},
        maxiter=MOST_STEPS,
        callback=stop,
    )
    values = np.where(np.isfinite(found.x), found.x, line.values[turning])
    differences, sizes = difference(values)
    beyond = signs * differences < -CLOSE * sizes
    if beyond.any():
        line.add(values[beyond], differences[beyond], sizes[beyond])
    touching = np.abs(differences) <= CLOSE * sizes
    return [
        Crossing(float(value), int(sign), int(sign))
        for value, sign, touches in zip(values, signs, touching, strict=True)
        if touches
    ]


def _changes(signs: NDArray[np.int_]) -> list[int]:
    """Return the points after which the sign changes from one to the other at once."""
    return np.flatnonzero(signs[:-1] * signs[1:] < 0).tolist()


def _take_in_noughts(line: Line, found: Crossings) -> None:
    """Take in points of the line itself that are nought, alone or several in a row."""
    signs = line.signs
    last = len(signs) - 1
    start = 0
    while start <= last:
        end = start
        if signs[start] == 0:
            while end < last and signs[end + 1] == 0:
                end += 1
            below = int(signs[start - 1]) if start else 0
            above = int(signs[end + 1]) if end < last else 0
            low, high = float(line.values[start]), float(line.values[end])
            if start == end:
                found.roots.append(Crossing(low, below, above))
            else:
                found.equal.append(Stretch(low, high, below, above))
        start = end + 1


def _split(difference: Difference, line: Line, found: Crossings) -> None:
    """Find the root or the jump wherever the sign changes."""
    signs = line.signs
    changes = _changes(signs)
    if not changes:
        return

    def gap(values: Array) -> Array:
        return difference(np.ravel(values))[0].reshape(values.shape)

    result = _elementwise().find_root(
        gap,
        (line.values[changes], line.values[[i + 1 for i in changes]]),
        tolerances={
            "xatol": 0,
            "xrtol": XRTOL,
            "fatol": NOUGHT * float(np.min(line.sizes)),
            "frtol": 0,
        },
        maxiter=MOST_STEPS,
    )
    values = np.asarray(result.x, float)
    differences, sizes = difference(values)
    close = np.abs(differences) <= CLOSE * sizes
    upper = np.asarray(result.bracket[1], float)
    for i, value, end, root in zip(changes, values, upper, close, strict=True):
        below, above = int(signs[i]), int(signs[i + 1])
        if root:
            found.roots.append(Crossing(float(value), below, above))
        else:
            found.jumps.append(Crossing(float(end), below, above))


def _widen(difference: Difference, line: Line, found: Crossings) -> None:
    """Move the ends of stretches of nought from points of the line to where they are."""
    if not found.equal or (len(found.equal) == 1 and not _sides(line, found.equal[0])):
        return
    sides = [side for stretch in found.equal for side in _sides(line, stretch)]

    def beyond(values: Array) -> Array:
        differences, sizes = difference(np.ravel(values))
        return (np.abs(differences) - CLOSE * sizes).reshape(values.shape)

    inner, outer = (np.array(ends) for ends in zip(*sides, strict=True))
    result = _elementwise().find_root(
        beyond,
        (np.minimum(inner, outer), np.maximum(inner, outer)),
        tolerances={"xatol": 0, "xrtol": XRTOL},
        maxiter=MOST_STEPS,
    )
    ends = np.where(np.isfinite(result.x), result.x, inner)
    moved = dict(zip(inner.tolist(), ends.tolist(), strict=True))
    found.equal[:] = [
        Stretch(
            moved.get(stretch.low, stretch.low),
            moved.get(stretch.high, stretch.high),
            stretch.below,
            stretch.above,
        )
        for stretch in found.equal
    ]


def _sides(line: Line, stretch: Stretch) -> list[tuple[float, float]]:
    """Return the ends of a stretch that have a point beside them, each with that point."""
    start = int(np.searchsorted(line.values, stretch.low))
    end = int(np.searchsorted(line.values, stretch.high))
    sides: list[tuple[float, float]] = []
    if start:
        sides.append((stretch.low, float(line.values[start - 1])))
    if end < len(line.values) - 1:
        sides.append((stretch.high, float(line.values[end + 1])))
    return sides


def _in_order(found: Crossings) -> Crossings:
    found.roots.sort(key=lambda root: root.value)
    found.jumps.sort(key=lambda jump: jump.value)
    return found
