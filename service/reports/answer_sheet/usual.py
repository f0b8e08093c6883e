"""What is usual and where that was published: the columns of a sheet that help to fill it in."""

import math
from dataclasses import dataclass

from service.costing.input_tree import Leaf
from service.costing.reference.ranges import RangeRow, Ranges, load_ranges
from service.costing.reference.table import (
    NO_EDITION,
    Edition,
    Source,
    editions,
    load_edition,
    newest_edition,
)

UNVERIFIED = "from memory, not checked"


@dataclass(frozen=True, slots=True)
class Usual:
    """How far a value usually lies off, in numbers where they are known, and in words."""

    low: float | None
    high: float | None
    words: str
    source: str


NOTHING = Usual(None, None, "", "")


@dataclass(frozen=True, slots=True)
class Guide:
    """The reference values and ranges of one edition."""

    edition: Edition
    ranges: Ranges

    def usual(self, pattern: str, value: object) -> Usual:
        """Return what is usual for an input, around its value if that is what it hangs on."""
        row = self.ranges.rows.get(pattern)
        if row is None:
            return NOTHING
        source = cited(
            self.ranges.sources[row.source], row.where, row.note, known=not row.unverified
        )
        absolute = row.low is not None and row.high is not None
        number = value if isinstance(value, int | float) and not isinstance(value, bool) else None
        if not absolute and number is None:
            return Usual(None, None, _in_shares(row), source)
        low, high = row.around(float(number or 0))
        if not math.isfinite(low) or not math.isfinite(high):
            return NOTHING
        return Usual(low, high, f"usually {low:,.6g} to {high:,.6g}", source)


def guide(name: object) -> Guide:
    """Return the edition of that name; the newest if there is none, or it has no values."""
    known = isinstance(name, str) and name in editions() and name != NO_EDITION
    edition = str(name) if known else newest_edition()
    return Guide(load_edition(edition), load_ranges(edition))


def _in_shares(row: RangeRow) -> str:
    low, high = row.low_share or 0, row.high_share or 0
    return f"usually {low:g} to {high:g} times what is entered"


def cited(source: Source, where: str, note: str, *, known: bool) -> str:
    """Return a source as people cite it, with its mark if nobody has checked it."""
    parts = [source.in_words, where, note]
    marks = [] if known else [UNVERIFIED]
    return "; ".join(part for part in (*parts, *marks) if part)


def allowed(leaf: Leaf) -> str:
    """Return what a cell takes, in words."""
    if leaf.choices:
        return f"one of {', '.join(leaf.choices)}"
    return leaf.entry.allowed
