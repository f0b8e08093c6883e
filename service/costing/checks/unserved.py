"""Days that a plan leaves without a place to feed, found once the winter has been served."""

from collections.abc import Iterator, Mapping

import numpy as np

from service.costing.allocation import days_unserved
from service.costing.checks.phrases import rounded, some_of
from service.costing.errors import Fault
from service.costing.run import StepRun, SystemRun
from service.costing.units import NEGLIGIBLE, STATES

FULL = 1 - NEGLIGIBLE
"""A floor with less than this share of the stated animals has too little room."""


def faults_unserved(runs: Mapping[str, SystemRun]) -> list[Fault]:
    """Return a fault for each system whose plan does not serve every day of every winter.

    Parameters
    ----------
    runs : mapping of str to SystemRun
        The systems, served.
    """
    return [fault for run in runs.values() for fault in _unserved(run)]


def _unserved(run: SystemRun) -> Iterator[Fault]:
    days = days_unserved(run)
    left: dict[str, dict[str, float]] = {}
    for group, by_state in zip(run.herd.groups, days, strict=True):
        found = {
            state: float(count)
            for state, count in zip(STATES, by_state, strict=True)
            if count > NEGLIGIBLE
        }
        if found:
            left[group] = found
    if not left:
        return
    yield Fault(
        f"systems.{run.key}.plan",
        f"The plan leaves animals nowhere to feed on some days, at most {_in_words(left)}. "
        f"{_hint(run, left)}",
        allowed="no day left in any winter",
        unit="day",
    )


def _in_words(left: Mapping[str, Mapping[str, float]]) -> str:
    groups: dict[str, list[str]] = {}
    for group, found in left.items():
        days = some_of([f"{rounded(count)} {state}" for state, count in found.items()])
        groups.setdefault(days, []).append(group)
    return "; ".join(f"{some_of(names)} {days}" for days, names in groups.items())


def _hint(run: SystemRun, left: Mapping[str, Mapping[str, float]]) -> str:
    nobody = [
        f"{group} on {state} days"
        for group, found in left.items()
        for state in found
        if not any(group in step.groups and state in step.states for step in run.steps)
    ]
    small = list(
        dict.fromkeys(
            floor for step in run.steps if set(step.groups) & set(left) for floor in _full(step)
        )
    )
    hints = ["add a last step without limits that takes them"]
    if small:
        hints.append(f"enlarge {some_of(small)} or set stocking to tight")
    words = f"{', or '.join(hints)}."
    if nobody:
        return f"No step takes {some_of(nobody)}: {words}"
    return words[0].upper() + words[1:]


def _full(step: StepRun) -> list[str]:
    """Return the floors of a step that may have too little room for its animals."""
    if float(np.min(step.share.value)) >= step.step.share_of_herd * FULL:
        return []
    return [place.structure for place in step.places if place.structure is not None]
