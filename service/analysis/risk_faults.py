"""What can be wrong with a question about risk, asked of a scenario."""

import math
from collections.abc import Iterator, Mapping

from service.analysis.input_faults import number_at
from service.analysis.inputs import Known
from service.analysis.questions import MOST_DRAWS, Risk, Vary
from service.analysis.subject import Subject
from service.costing.checks import faults_of
from service.costing.checks.phrases import exact, short
from service.costing.draw_axis import fits_draw_axis
from service.costing.errors import Fault, InputError, nearest

ROWS, MEAN = "rows", "mean"
WINTERS = (ROWS, MEAN)
LARGEST_SEED = 2**53 - 1
"""The largest whole number that every reader of JSON keeps."""
MOST_VARIED = 60
MOST_AVERSIONS = 20


def faults_of_risk(subject: Subject, known: Known, question: Risk) -> list[Fault]:
    """Return everything wrong with a question."""
    return [
        *_faults_of_numbers(question),
        *_faults_of_aversions(question.absolute_risk_aversion),
        *_faults_of_vary(subject, known, question.vary or {}),
    ]


def _faults_of_numbers(question: Risk) -> Iterator[Fault]:
    if not _is_whole(question.draws, 1, MOST_DRAWS):
        yield Fault(
            "draws",
            f"draws must be a whole number from 1 to {MOST_DRAWS:,}.",
            received=question.draws,
            allowed=f"a whole number, at least 1, at most {MOST_DRAWS:,}",
        )
    if not _is_whole(question.seed, 0, LARGEST_SEED):
        yield Fault(
            "seed",
            f"seed must be a whole number from 0 to {LARGEST_SEED:,}.",
            received=question.seed,
            allowed=f"a whole number, at least 0, at most {LARGEST_SEED:,}",
        )
    if question.winters not in WINTERS:
        yield Fault(
            "winters",
            "winters must be rows (each draw has a whole winter, picked by weight) "
            "or mean (each draw has the mean winter).",
            received=question.winters,
            allowed=", ".join(WINTERS),
            suggestion=nearest(str(question.winters), WINTERS),
        )


def _is_whole(value: object, least: int, most: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and least <= value <= most


def _faults_of_aversions(aversions: tuple[float, ...]) -> Iterator[Fault]:
    if len(aversions) > MOST_AVERSIONS:
        yield Fault(
            "absolute_risk_aversion",
            f"{len(aversions)} aversions were sent; at most {MOST_AVERSIONS} are taken at once.",
            received=len(aversions),
            allowed=f"at most {MOST_AVERSIONS}",
        )
    for number, aversion in enumerate(aversions[:MOST_AVERSIONS], start=1):
        if not (math.isfinite(aversion) and aversion >= 0):
            yield Fault(
                f"absolute_risk_aversion.{number}",
                "An absolute risk aversion must be 0 (indifferent to risk) or more.",
                received=aversion if math.isfinite(aversion) else str(aversion),
                allowed="at least 0",
                unit="1/currency",
            )


def _faults_of_vary(subject: Subject, known: Known, vary: Mapping[str, Vary]) -> Iterator[Fault]:
    if len(vary) > MOST_VARIED:
        yield Fault(
            "vary",
            f"{len(vary)} inputs were to be varied; at most {MOST_VARIED} are taken at once.",
            received=len(vary),
            allowed=f"at most {MOST_VARIED}",
        )
        return
    for path, spread in vary.items():
        found = [*_faults_of_order(path, spread), *_faults_of_path(subject, known, path)]
        yield from found or _faults_of_ends(subject, path, spread)


def _faults_of_order(path: str, spread: Vary) -> Iterator[Fault]:
    values = {"low": spread.low, "usual": spread.usual, "high": spread.high}
    said = ", ".join(f"{name} is {exact(value)}" for name, value in values.items())
    if not all(math.isfinite(value) for value in values.values()):
        yield Fault(_input(path), f"low, usual and high must be numbers; {said}.")
    elif not spread.low <= spread.usual <= spread.high:
        yield Fault(
            _input(path),
            f"low must not be above usual, nor usual above high; {said}.",
            received=list(values.values()),
            allowed="low <= usual <= high",
        )


def _faults_of_path(subject: Subject, known: Known, path: str) -> Iterator[Fault]:
    """Tell of an input that cannot be varied draw by draw."""
    _, fault = number_at(subject, known, path, _input(path))
    if fault is not None:
        yield fault
    elif path.startswith("winter."):
        detail = "Winters are drawn whole, so nothing in them can be varied apart from them."
        yield Fault(_input(path), detail)
    elif not fits_draw_axis(path):
        detail = "This decides on more than amounts, so it cannot differ from draw to draw."
        yield Fault(_input(path), f"{detail} Ask for its sensitivity instead.")
    elif path not in known.read:
        yield Fault(_input(path), "No system uses this input as the scenario stands.")


def _faults_of_ends(subject: Subject, path: str, spread: Vary) -> Iterator[Fault]:
    """Tell why the scenario cannot be costed with the low or the high of an input."""
    for name, value in (("low", spread.low), ("high", spread.high)):
        try:
            found = faults_of(subject.changed({path: value}).scenario)
        except InputError as error:
            found = error.faults
        for fault in found:
            yield Fault(
                f"{_input(path)}.{name}",
                fault.detail if fault.input == path else f"{fault.input}: {fault.detail}",
                received=value,
                allowed=fault.allowed if fault.input == path else None,
                unit=fault.unit if fault.input == path else None,
            )


def _input(path: str) -> str:
    return f"vary.{short(path)}"
