"""From a question to the work that answers it."""

from collections.abc import Callable, Mapping
from typing import Any

from service.analysis.break_even import break_even
from service.analysis.herd_size import herd_size
from service.analysis.plans import plans_within_limits
from service.analysis.questions import (
    BreakEven,
    HerdSize,
    PlansWithinLimits,
    Question,
    Risk,
    Sensitivity,
    WinterTypes,
)
from service.analysis.risk import risk
from service.analysis.sensitivity import sensitivity
from service.analysis.subject import Subject
from service.analysis.winter_types import winter_types
from service.analysis.work import Work

PREPARED: Mapping[type[Question], Callable[[Subject, Any], Work]] = {
    BreakEven: break_even,
    Sensitivity: sensitivity,
    Risk: risk,
    WinterTypes: winter_types,
    HerdSize: herd_size,
    PlansWithinLimits: plans_within_limits,
}


def prepared(subject: Subject, question: Question) -> Work:
    """Return the work that answers a question.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    return PREPARED[type(question)](subject, question)
