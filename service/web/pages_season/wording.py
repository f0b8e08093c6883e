"""Days, money and amounts as the pages of a season say them."""

from datetime import date

from service.costing.wording import amount, count
from service.season.dates import Season
from service.season.plan.records import Task
from service.web.pages.wording import said_day, with_currency

TEN, HUNDRED, THOUSAND = 10, 100, 1_000
UNCHANGED = frozenset(
    {"lb", "lb DM", "ft", "in", "sq ft", "sq yd", "cu ft", "cu yd", "head", "mile of wire"}
)
"""Units that are said alike of one and of many."""
VOWELS = "aeiouh"
"""An hour too."""


def dated(day: date) -> str:
    """Return a day with its year."""
    return f"{said_day(day)} {day.year}"


def season_said(season: Season) -> str:
    """Return a winter by its name and its days."""
    return f"Winter {season.name}, {dated(season.first_day)} to {dated(season.last_day)}"


def when_said(task: Task) -> str:
    """Return when a task is to be done: by, on or from a day, and until when."""
    until = f" to {dated(task.last_day)}" if task.last_day and task.last_day != task.day else ""
    return f"{task.when} {dated(task.day)}{until}"


def cash(value: float, currency: str) -> str:
    """Return money to the nearest hundred, below a thousand to the nearest ten."""
    step = TEN if abs(value) < THOUSAND else HUNDRED
    return with_currency(_nearest(value, step), currency)


def tens(value: float) -> str:
    """Return money to the nearest ten."""
    return _nearest(value, TEN)


def difference(value: float) -> str:
    """Return a difference of money to the nearest ten, with its sign."""
    text = tens(value)
    return f"+{text}" if value > 0 and text != "0" else text


def _nearest(value: float, step: int) -> str:
    return f"{round(value / step) * step:,.0f}"


def quantity(value: float, unit: str) -> str:
    """Return an amount with its unit: ``24 acres``, ``46 lb an acre``."""
    number = count(value) if float(value).is_integer() else amount(value)
    return f"{number} {unit_said(unit, value)}".rstrip()


def unit_said(unit: str, value: float) -> str:
    """Return a unit as it is said after a number."""
    first, *rest = unit.split("/")
    if first in {"", "count", "fraction", "none"}:
        return ""
    many = first if value == 1 or first in UNCHANGED else _many(first)
    return " ".join([many, *(f"{_article(each)} {each}" for each in rest)])


def per_unit(unit: str) -> str:
    """Return a unit after a price: ``a bale``, ``an acre``."""
    return f"{_article(unit)} {unit}" if unit else ""


def _article(unit: str) -> str:
    return "an" if unit[:1] in VOWELS and unit != "head" else "a"


def _many(unit: str) -> str:
    noun, _, rest = unit.partition(" ")
    return f"{noun}s {rest}".rstrip()


def halves(value: float) -> str:
    """Return a number of bales to the nearest half, as it is counted in a yard."""
    twice = max(round(value * 2), 1)
    whole, half = divmod(twice, 2)
    return f"{whole or ''}{'½' if half else ''}" if twice > 1 else "½"
