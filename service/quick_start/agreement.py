"""Faults between answers: days that do not add up, acres that are not there."""

from collections.abc import Iterator

from service.costing.errors import Fault
from service.costing.formulas.stages import days_between
from service.costing.wording import amount
from service.quick_start.answers import ROOT, Answers
from service.quick_start.calendar_days import spoken_day
from service.quick_start.herd import ANIMALS, KINDS
from service.quick_start.season import GROUND, SEASON, STATES, TEN, days_given

SHORTEST, LONGEST = 14, 300
SLACK = 1e-9


def disagreements(answers: Answers) -> Iterator[Fault]:
    """Yield what cannot be between answers that are sound one by one."""
    yield from _no_animals(answers)
    yield from _season(answers)
    yield from _ground(answers)
    yield from _minutes(answers)
    yield from _spared(answers)


def _no_animals(answers: Answers) -> Iterator[Fault]:
    heads = [answers.number(ANIMALS, kind.part) for kind in KINDS]
    if all(head == 0 for head in heads):
        yield Fault(
            f"{ROOT}.{ANIMALS}",
            "No animals are left to feed; give at least one.",
            received=0,
            allowed="at least 1",
            unit="head",
        )


def _season(answers: Answers) -> Iterator[Fault]:
    start, grass = answers.get(SEASON, "hay_starts"), answers.get(SEASON, "grass_takes_over")
    if start is None or grass is None:
        return
    days = days_between(start, grass)
    if not SHORTEST <= days <= LONGEST:
        yield Fault(
            f"{ROOT}.{SEASON}.grass_takes_over",
            f"From {spoken_day(start)} to {spoken_day(grass)} hay is fed on {days} days; a winter "
            f"has {SHORTEST} to {LONGEST}. Are the two days the wrong way round?",
            received=grass,
            allowed=f"{SHORTEST} to {LONGEST} days after {spoken_day(start)}",
        )


def _ground(answers: Answers) -> Iterator[Fault]:
    given = days_given(answers)
    total = sum(given.values())
    lacks = len(given) == len(STATES) and total < TEN - SLACK
    if total > TEN + SLACK or lacks:
        said = " + ".join(f"{amount(days)} {part}" for part, days in given.items())
        yield Fault(
            f"{ROOT}.{GROUND}",
            f"{said} make {amount(total)} days; they must add to ten.",
            received=total,
            allowed="10",
            unit="day of ten",
        )


def _minutes(answers: Answers) -> Iterator[Fault]:
    ordinary, worst = (answers.number("work", part) for part in ("minutes", "worst_minutes"))
    if ordinary is not None and worst is not None and worst < ordinary:
        yield Fault(
            f"{ROOT}.work.worst_minutes",
            f"The worst kind of day takes {amount(worst)} minutes and an ordinary one "
            f"{amount(ordinary)}; are they the wrong way round?",
            received=worst,
            allowed=f"at least {amount(ordinary)}",
            unit="minute",
        )


def _spared(answers: Answers) -> Iterator[Fault]:
    spare = answers.number("land", "spare_acres")
    acres = [field.get("acres") for field in answers.fields]
    if spare is None or not acres or None in acres:
        return
    there = sum(float(part) for part in acres if part is not None)
    if spare > there * (1 + SLACK):
        yield Fault(
            f"{ROOT}.land.spare_acres",
            f"{amount(spare)} acres cannot be spared of {amount(there)}.",
            received=spare,
            allowed=f"at most {amount(there)}",
            unit="acre",
        )
