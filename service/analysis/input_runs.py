"""Runs for values of one input that cannot be varied on the draw axis: a scenario for each."""

from collections.abc import Sequence

from service.analysis.subject import Subject
from service.costing.checks import faults_of
from service.costing.checks.phrases import exact
from service.costing.document import whole
from service.costing.errors import Fault, InputError
from service.costing.scenario import Scenario


def scenario_with(subject: Subject, path: str, value: float) -> Scenario:
    """Return the scenario with another value of one input.

    Raises
    ------
    InputError
        If it cannot be costed so; carries every fault found.
    """
    scenario = subject.changed({path: whole(value)}).scenario
    faults = faults_of(scenario)
    if faults:
        raise InputError(faults)
    return scenario


def end_faults(
    subject: Subject, path: str, ends: Sequence[tuple[str, float]], member: str
) -> list[Fault]:
    """Return why a scenario cannot be costed with the ends of a range.

    Parameters
    ----------
    subject : Subject
        What the question is asked of.
    path : str
        The input.
    ends : sequence of (str, float)
        Where each end stands in the question, and the end.
    member : str
        Where the input stands: it is at fault if no end is better than another.
    """
    found = [(place, end, _fault_with(subject, path, end)) for place, end in ends]
    details = {fault.detail if fault else "" for _, _, fault in found}
    if len(details) == 1 and len(found) > 1:
        detail = details.pop()
        said = f"With another {path} the scenario cannot be costed: {detail}"
        return [Fault(member, said, received=path)] if detail else []
    return [
        Fault(
            place,
            f"With {path} at {exact(end)} the scenario cannot be costed: {fault.detail}",
            received=end,
        )
        for place, end, fault in found
        if fault
    ]


def _fault_with(subject: Subject, path: str, value: float) -> Fault | None:
    try:
        scenario_with(subject, path, value)
    except InputError as error:
        return error.faults[0]
    return None
