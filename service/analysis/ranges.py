"""How far each input of a scenario may be off: given values and reference values alike."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from service.analysis.inputs import Known, allowed_at, is_number, known_of
from service.analysis.subject import Subject
from service.costing.document import leaves
from service.costing.draw_axis import fits_draw_axis
from service.costing.overrides import ASSUMPTIONS
from service.costing.reference.ranges import load_ranges
from service.costing.reference.table import ASSUMPTION, Source

GIVEN = "given"
REFERENCE = "reference"


@dataclass(frozen=True, slots=True)
class InputRange:
    """How far one input may be off, all in its unit.

    ``base`` is the value in use; it lies outside of low and high where a scenario gives a value
    that its source does not expect.
    """

    path: str
    low: float
    base: float
    high: float
    unit: str
    meaning: str
    origin: str
    """``given``, or ``reference`` where it is an edition's value or a published default."""
    source: str | None
    """Where the range is from, in words."""
    find_out: str | None
    """How a farm finds the value out for itself."""
    unverified: bool = False
    """Whether the range is from memory of its source, still to be checked against it."""


def ranges_of(subject: Subject) -> dict[str, InputRange]:
    """Return the inputs that have a range and were used, by path.

    Parameters
    ----------
    subject : Subject
        Its scenario can be costed as it stands.

    Returns
    -------
    dict of str to InputRange
        Given inputs in the order of the document, then reference values by key.
    """
    return ranges_in(known_of(subject), subject)


def ranges_in(known: Known, subject: Subject) -> dict[str, InputRange]:
    """Return the same of a scenario that has been costed."""
    sent = frozenset(leaves(subject.document))
    return {item.path: item for item in (*_given(known, sent), *_references(known))}


def _given(known: Known, sent: frozenset[str]) -> Iterator[InputRange]:
    ranges = load_ranges(known.costing.case.edition.name)
    for path, value in known.values.items():
        if path.startswith(f"{ASSUMPTIONS}.") or not is_number(value):
            continue
        if path not in known.read and fits_draw_axis(path):
            continue
        allowed = allowed_at(path, known.values)
        row = ranges.rows.get(allowed.pattern) if allowed else None
        if allowed is None or row is None:
            continue
        low, high = (allowed.clipped(float(f"{end:.10g}")) for end in row.around(value))
        if allowed.whole:
            low, high = math.floor(low), math.ceil(high)
            low, high = allowed.clipped(low), allowed.clipped(high)
        if low < high:
            yield InputRange(
                path=path,
                low=float(low),
                base=float(value),
                high=float(high),
                unit=row.unit,
                meaning=row.meaning,
                origin=GIVEN if path in sent else REFERENCE,
                source=_in_words(ranges.sources[row.source], row.note),
                find_out=row.find_out,
                unverified=row.unverified,
            )


def _references(known: Known) -> Iterator[InputRange]:
    case = known.costing.case
    for key in sorted(case.used):
        row = case.edition.rows.get(key)
        value = case.used[key]
        if row is None or row.low is None or row.high is None or isinstance(value, str):
            continue
        if row.low < row.high:
            yield InputRange(
                path=f"{ASSUMPTIONS}.{key}",
                low=row.low,
                base=value,
                high=row.high,
                unit=row.unit,
                meaning=row.meaning,
                origin=GIVEN if key in case.scenario.assumptions else REFERENCE,
                source=_in_words(case.edition.sources[row.source], row.note),
                find_out=row.find_out,
                unverified=row.unverified,
            )


def _in_words(source: Source, note: str) -> str:
    """Return a source as a person would cite it; an assumption says why."""
    return f"Assumption. {note}" if source == ASSUMPTION else source.in_words
