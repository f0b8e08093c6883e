"""What can be wrong with an input that a question names, and with a range for it."""

import math
from collections.abc import Iterator

from service.analysis.inputs import Allowed, Known, allowed_at
from service.analysis.subject import Subject
from service.costing.checks.phrases import exact, short
from service.costing.errors import Fault, nearest
from service.costing.overrides import ASSUMPTIONS, applied
from service.costing.reference.keys import known_keys

SEVERAL = (",", "*", " ", "[")
"""What stands in a path that is meant for more than one input."""


def number_at(
    subject: Subject, known: Known, path: str, member: str
) -> tuple[Allowed | None, Fault | None]:
    """Return what the number at a path may be, or what is wrong with the path.

    Parameters
    ----------
    subject : Subject
        What the question is asked of.
    known : Known
        The same, costed.
    path : str
        Path of the input as it was sent.
    member : str
        Where in the question it stands.
    """
    detail, suggestion = _objection(subject, known, path)
    if detail:
        return None, Fault(member, detail, received=short(path), suggestion=suggestion)
    allowed = allowed_at(path, known.values)
    if allowed is None or not allowed.is_number:
        return None, Fault(
            member,
            f"{path} is no number, so it cannot be varied from low to high; name an input that is.",
            received=path,
        )
    return allowed, None


def _objection(subject: Subject, known: Known, path: str) -> tuple[str, str | None]:
    """Return why a path leads to no single input, and the nearest that does."""
    if any(mark in path for mark in SEVERAL):
        return f"{short(path)!r} is more than one input; inputs are varied one at a time.", None
    place, _, key = path.partition(".")
    if place == ASSUMPTIONS and key and allowed_at(path, known.values) is None:
        near = nearest(short(key), [*known.costing.case.used, *known_keys()])
        hint = f"; did you mean {ASSUMPTIONS}.{near}?" if near else "."
        return f"There is no reference value {short(key)!r}{hint}", (
            f"{ASSUMPTIONS}.{near}" if near else None
        )
    _, faults = applied(subject.document, {path: 0})
    if faults:
        return faults[0].detail, faults[0].suggestion
    return "", None


def range_faults(
    path: str, allowed: Allowed, ends: tuple[float, float], members: tuple[str, str]
) -> Iterator[Fault]:
    """Yield what is wrong with single ends of a range: not finite, not allowed, not whole."""
    for end, member in zip(ends, members, strict=True):
        if not math.isfinite(end):
            yield Fault(member, f"{member} must be a number that is finite.", received=str(end))
        elif allowed.clipped(end) != end:
            yield Fault(
                member,
                f"{exact(end)} is out of the range of {path}.",
                received=end,
                allowed=allowed.in_words,
                unit=allowed.unit or None,
            )
        elif allowed.whole and end % 1:
            yield Fault(
                member,
                f"{path} counts in whole numbers; {exact(end)} is none.",
                received=end,
                allowed=allowed.in_words,
                unit=allowed.unit or None,
            )


def used_fault(known: Known, path: str, member: str) -> Fault | None:
    """Return the fault of an input that no system uses, None if one may.

    What is read without a path, such as the winters, counts as used.
    """
    place, _, key = path.partition(".")
    if place != ASSUMPTIONS or key in known.costing.case.used:
        return None
    near = nearest(key, list(known.costing.case.used))
    return Fault(
        member,
        f"No system uses {path}.",
        received=path,
        suggestion=f"{ASSUMPTIONS}.{near}" if near else None,
    )
