"""Which inputs a sensitivity runs over and from where to where, and what can be wrong with them."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from service.analysis.input_faults import number_at, range_faults, used_fault
from service.analysis.input_runs import end_faults
from service.analysis.inputs import Known, is_number
from service.analysis.questions import Range, Sensitivity
from service.analysis.ranges import GIVEN, REFERENCE, InputRange, ranges_in
from service.analysis.subject import Subject
from service.costing.checks.phrases import choice, exact
from service.costing.document import leaves
from service.costing.errors import Fault, InputError, nearest
from service.costing.margin import has_herd_change

ANNUAL, MARGIN = "annual_equivalent_cost", "farm_margin"
FIGURES = (ANNUAL, MARGIN)


@dataclass(frozen=True, slots=True)
class _Asker:
    """A question and what it is asked of."""

    subject: Subject
    known: Known
    question: Sensitivity
    published: Mapping[str, InputRange]


def asked_ranges(subject: Subject, known: Known, question: Sensitivity) -> list[InputRange]:
    """Return the inputs to vary, each with its low and high, in the order of their paths.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    asker = _Asker(subject, known, question, ranges_in(known, subject))
    faults = [*_general_faults(known, question, asker.published)]
    found: dict[str, InputRange] = {}
    paths = asker.published if question.inputs is None else question.inputs
    for path in dict.fromkeys((*paths, *question.ranges)):
        item, problems = _asked(asker, path)
        faults += problems
        if item is not None:
            found[path] = item
    if faults:
        raise InputError(faults)
    return [found[path] for path in sorted(found)]


def _general_faults(
    known: Known, question: Sensitivity, published: Mapping[str, InputRange]
) -> Iterator[Fault]:
    systems = list(known.costing.systems)
    if question.system is not None and question.system not in systems:
        yield _unknown("system", "system", question.system, systems)
    if question.figure not in FIGURES:
        yield _unknown("figure", "figure", question.figure, FIGURES)
    elif question.figure == MARGIN and not has_herd_change(known.costing):
        yield Fault(
            "figure",
            "No system buys or sells animals, so all have one herd and their margins differ as "
            f"their costs do; ask for {ANNUAL}.",
            received=MARGIN,
            allowed=ANNUAL,
            suggestion=ANNUAL,
        )
    if question.inputs is None and not published and not question.ranges:
        yield Fault(
            "ranges",
            "The scenario takes nothing from the tables, so no range is published for it; give "
            "the inputs to look at under ranges, each with its low and high.",
        )
    if question.inputs is not None:
        if not question.inputs:
            yield Fault("inputs", "The list is empty; name an input, or leave inputs out for all.")
        for path in question.ranges:
            if path not in question.inputs:
                yield Fault(
                    f"ranges.{path}",
                    f"{path} is given a range and is not among inputs; name it there too.",
                    received=path,
                )


def _unknown(member: str, what: str, word: str, known: list[str] | tuple[str, ...]) -> Fault:
    near = nearest(word, known)
    return Fault(
        member,
        f"There is no {what} {word!r}" + (f"; did you mean {near}?" if near else "."),
        received=word,
        allowed=choice(known),
        suggestion=near,
    )


def _asked(asker: _Asker, path: str) -> tuple[InputRange | None, list[Fault]]:
    """Return one input with its range, or what is wrong."""
    ends = asker.question.ranges.get(path)
    published = asker.published.get(path)
    if ends is None and published is not None:
        return published, []
    member = "inputs" if ends is None else f"ranges.{path}"
    allowed, fault = number_at(asker.subject, asker.known, path, member)
    fault = fault or used_fault(asker.known, path, member)
    value = asker.known.values.get(path)
    base = float(value) if is_number(value) else None
    if fault is None and base is None:
        fault = Fault(
            member,
            f"{path} is not given, so there is no value to hold its low and high against; "
            "give one in the scenario.",
            received=path,
        )
    if fault is None and ends is None:
        fault = Fault(
            member,
            f"No range of {path} is published; give one under ranges.",
            received=path,
        )
    if fault is not None or allowed is None or ends is None or base is None:
        return None, [fault] if fault else []
    faults = [
        *range_faults(path, allowed, ends, (member, member)),
        *_order_faults(ends, member),
    ] or end_faults(asker.subject, path, [(member, end) for end in dict.fromkeys(ends)], member)
    if faults:
        return None, faults
    item = published or InputRange(
        path=path,
        low=0,
        base=base,
        high=0,
        unit=allowed.unit,
        meaning=allowed.meaning,
        origin=GIVEN if path in set(leaves(asker.subject.document)) else REFERENCE,
        source=None,
        find_out=None,
    )
    low, high = ends
    return replace(item, low=float(low), high=float(high), source=None, unverified=False), []


def _order_faults(ends: Range, member: str) -> Iterator[Fault]:
    low, high = ends
    if math.isfinite(low) and math.isfinite(high) and low > high:
        yield Fault(
            member,
            f"The range is upside down: low is {exact(low)} and high {exact(high)}.",
            received=[low, high],
            allowed="low at most high",
        )
