"""The winter, from the third and fourth question: when it is, and what the ground is like."""

from typing import Any

from service.costing.formulas.stages import days_between
from service.costing.wording import amount, share
from service.quick_start.answers import Answers
from service.quick_start.calendar_days import shifted, spoken_day
from service.quick_start.draft import Draft
from service.quick_start.figures import stand_in
from service.quick_start.marks import Guessed, Mark, Worked, guess, value_of

SEASON, GROUND = "season", "ground"
STATES = {"frozen": "frozen", "snow": "snow_covered", "firm": "firm", "soft": "wet"}
"""What a part is called, and the ground state that it is."""

NOT_SURE = "back_and_forth"
TEN = 10.0


def fill_winter(draft: Draft, answers: Answers) -> None:
    """Put the winter into the document."""
    first, last = _dates(answers)
    days = days_between(value_of(first), value_of(last)) + 1
    draft.put("winter.first_day", first)
    draft.put("winter.last_day", last)
    draft.put("winter.ground_days", _ground_days(answers, days))
    draft.put("winter.rain_in", guess("rain_per_day", GROUND, scale=days))


def _dates(answers: Answers) -> tuple[Mark, Mark]:
    start, grass = answers.get(SEASON, "hay_starts"), answers.get(SEASON, "grass_takes_over")
    last: Mark = guess("last_hay_day", SEASON)
    first: Mark = guess("hay_starts", SEASON)
    if grass is not None:
        day = shifted(grass, -1)
        last = Worked(day, f"The day before grass takes over on {spoken_day(grass)}.")
    if start is not None:
        first = Worked(start, f"Hay is fed from {spoken_day(start)}.")
    if start is None and grass is not None:
        first = _so_many_days(value_of(last), -1)
    elif grass is None and start is not None:
        last = _so_many_days(start, 1)
    return first, last


def _so_many_days(day: str, way: int) -> Guessed:
    """Return the other end of a winter of which one end is known."""
    figure = stand_in("feeding_days")
    low, usual, high = (
        shifted(day, way * (float(days) - 1))
        for days in (figure.low or 1, figure.usual, figure.high or 1)
    )
    ends = (low, high) if way > 0 else (high, low)
    return Guessed(figure, SEASON, value=usual, low=ends[0], high=ends[1], unit="date")


def days_given(answers: Answers) -> dict[str, float]:
    """Return the days of ten that were given, by part [day]."""
    found = {part: answers.number(GROUND, part) for part in STATES}
    return {part: days for part, days in found.items() if days is not None}


def _ground_days(answers: Answers, days: int) -> dict[str, Any]:
    """Return the days in each ground state; those that are open share what is left of ten."""
    given = days_given(answers)
    kind = answers.get(GROUND, "type")
    figures = {
        part: f"days_of_ten.{kind or NOT_SURE}.{part}" for part in STATES if part not in given
    }
    left = TEN - sum(given.values())
    whole = sum(stand_in(name).number for name in figures.values())
    found: dict[str, Any] = {}
    for part, state in STATES.items():
        if part in given:
            found[state] = Worked(
                days * given[part] / TEN,
                f"{amount(given[part])} of ten days; the winter has {days}.",
            )
        elif kind is None and len(given) < len(STATES) - 1:
            found[state] = guess(figures[part], GROUND, scale=left / whole * days / TEN, unit="day")
        else:
            of_ten = stand_in(figures[part]).number * left / whole
            how = f"{share(of_ten / TEN)} of {days} days"
            why = (
                f": a winter that is {kind.replace('_', ' ')}" if kind else ": what is left of ten"
            )
            found[state] = Worked(days * of_ten / TEN, f"{how}{why}.")
    return found
