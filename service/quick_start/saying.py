"""Guesses and their values as people say them."""

import re

from service.costing.entry import MONTH_DAY
from service.quick_start.calendar_days import spoken_day
from service.quick_start.figures import End
from service.quick_start.marks import Guessed

WHOLE_FROM = 100
FRACTION = "fraction"
SPOKEN = {
    "word": "",
    "date": "",
    "day": "days",
    "year": "years",
    "acre": "acres",
    "in": "inches",
    "minute": "minutes",
    "hour": "hours",
    "currency": "dollars",
}
WITHOUT_HEAD = {"head/head": "a cow"}


def sentence_of(mark: Guessed) -> str:
    """Return a guess in a sentence."""
    figure = mark.figure
    taken = figure.said or said(mark.value, mark.unit)
    if mark.low is None or mark.high is None:
        return f"{figure.meaning}: we took {taken}."
    low, high = (_bare(end, mark.unit) for end in (mark.low, mark.high))
    form = figure.sentence or f"{figure.meaning}: we took {{value}}; it may be {{low}} to {{high}}."
    return form.format(value=taken, low=low, high=high)


def said(value: End, unit: str) -> str:
    """Return a value with its unit as people say it."""
    return f"{_bare(value, unit)} {spoken_unit(unit)}".strip()


def _bare(value: End, unit: str) -> str:
    if isinstance(value, str):
        return spoken_day(value) if re.fullmatch(MONTH_DAY, value) else value
    if unit.partition("/")[0] == FRACTION:
        return f"{value * 100:.3g} %"
    return f"{value:,.0f}" if abs(value) >= WHOLE_FROM else f"{value:.3g}"


def spoken_unit(unit: str) -> str:
    """Return a unit for a sentence; what needs none has none."""
    if unit in WITHOUT_HEAD:
        return WITHOUT_HEAD[unit]
    amount, _, per = unit.partition("/")
    plural = "" if amount == FRACTION else SPOKEN.get(amount, amount)
    article = "an" if per in {"acre", "hour"} else "a"
    return f"{plural} {f'{article} {per}' if per else ''}".strip()
