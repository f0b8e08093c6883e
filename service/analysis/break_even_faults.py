"""What can be wrong with a question after a break-even."""

import math
from collections.abc import Iterator
from dataclasses import replace

from service.analysis.compared import Compared
from service.analysis.draws import with_systems
from service.analysis.input_faults import number_at, range_faults, used_fault
from service.analysis.input_runs import end_faults
from service.analysis.inputs import Allowed, Known, is_number, known_of
from service.analysis.questions import BreakEven
from service.analysis.subject import Subject
from service.costing.checks.phrases import choice, exact, short
from service.costing.errors import Fault, InputError, nearest

MOST_WHOLE = 200
"""Whole numbers of a range, each of which is worked."""


def prepared_for(subject: Subject, question: BreakEven) -> tuple[Compared, Known, Allowed]:
    """Return the two systems over the input, what is known of them, and what the input may be.

    An input that the scenario does not give is given at the low end, so that it is there to vary.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    faults = [*_system_faults(subject, question), *_order_faults(question)]
    pair = [key for key in question.systems if key in subject.scenario.systems]
    known = known_of(subject, pair)
    allowed, fault = number_at(subject, known, question.input, "input")
    if fault is None:
        fault = _elsewhere(subject, question) or used_fault(known, question.input, "input")
    if fault is not None:
        faults.append(fault)
    if allowed is not None:
        values = question.low, question.high
        faults += range_faults(question.input, allowed, values, ("low", "high"))
        faults += _too_many(question, allowed)
    if faults or allowed is None:
        raise InputError(faults)
    ends = [("low", question.low), ("high", question.high)]
    faults = end_faults(subject, question.input, ends, "input")
    if faults:
        raise InputError(faults)
    there = subject
    read = known
    if not is_number(known.values.get(question.input)):
        there = subject.changed({question.input: question.low})
        read = known_of(there, question.systems)
    compared = Compared(there, question.input, question.systems)
    if compared.together and question.input not in read.read:
        raise InputError([_unused(question)])
    return compared, replace(known, read=read.read), allowed


def _system_faults(subject: Subject, question: BreakEven) -> Iterator[Fault]:
    systems = list(subject.scenario.systems)
    for word in dict.fromkeys(question.systems):
        if word not in systems:
            near = nearest(word, systems)
            yield Fault(
                "systems",
                f"There is no system {short(word)!r}"
                + (f"; did you mean {near}?" if near else "."),
                received=word,
                allowed=choice(systems),
                suggestion=near,
            )
    if question.systems[0] == question.systems[1]:
        yield Fault(
            "systems",
            "A break-even is between two systems; both are the same here.",
            received=list(question.systems),
            allowed=choice(systems),
        )


def _order_faults(question: BreakEven) -> Iterator[Fault]:
    low, high = question.low, question.high
    if math.isfinite(low) and math.isfinite(high) and not low < high:
        said = "empty" if low == high else "upside down"
        yield Fault(
            "low",
            f"The range is {said}: low is {exact(low)} and high {exact(high)}.",
            received=low,
            allowed=f"less than {exact(high)}",
        )


def _elsewhere(subject: Subject, question: BreakEven) -> Fault | None:
    """Return the fault of an input of a third system."""
    scenario = subject.scenario
    known = [key for key in question.systems if key in scenario.systems]
    apart = scenario.systems.keys() - with_systems(scenario, known).systems.keys()
    if any(question.input.startswith(f"systems.{key}.") for key in apart):
        return _unused(question)
    return None


def _unused(question: BreakEven) -> Fault:
    first, second = question.systems
    return Fault(
        "input",
        f"Neither {first} nor {second} uses {question.input}, so no value of it makes them "
        "cost the same.",
        received=question.input,
    )


def _too_many(question: BreakEven, allowed: Allowed) -> Iterator[Fault]:
    if allowed.whole and question.high - question.low >= MOST_WHOLE:
        yield Fault(
            "high",
            f"{question.input} counts in whole numbers, each of which is worked; at most "
            f"{MOST_WHOLE} are worked at once.",
            received=question.high,
            allowed=f"less than {exact(question.low + MOST_WHOLE)}",
        )
