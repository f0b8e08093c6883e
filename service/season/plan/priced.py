"""Prices of materials, by whose word they are known, and the days by which they are needed."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from service.costing.limits import known
from service.costing.reference.table import ASSUMPTION, COMMON_PRACTICE
from service.season.dates import days_before
from service.season.figures import MARKS, figure_of
from service.season.planning import MEMORY, SEEN
from service.season.subject import SeasonSubject

PriceOrigin = Literal["quote", "given", "reference", "none"]


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit costs."""

    value: float | None
    """[currency]."""
    origin: PriceOrigin

    def of(self, quantity: float) -> float | None:
        """Return what so many units cost [currency]."""
        return None if self.value is None else self.value * quantity


UNPRICED = Price(None, "none")


def given_price(subject: SeasonSubject, path: str, value: float) -> Price:
    """Return a price that is an input of the scenario."""
    origin = subject.body["origins"].get(path)
    return Price(value, "reference" if origin == "reference" else "given")


def table_price(subject: SeasonSubject, key: str) -> Price:
    """Return a price of the tables, or the scenario's own in its place."""
    value = known(subject.costing.case, key)
    if value is None:
        return UNPRICED
    return Price(value, "given" if key in subject.scenario.assumptions else "reference")


def mark_of_table(subject: SeasonSubject, key: str) -> str:
    """Return the mark of a value of the tables; ``given`` where the scenario has its own."""
    row = subject.costing.case.edition.rows.get(key)
    if row is None or key in subject.scenario.assumptions:
        return "given"
    if row.source in {ASSUMPTION.key, COMMON_PRACTICE.key}:
        return MARKS[row.source]
    return MEMORY if row.unverified else SEEN


def days_ahead(day: date, key: str) -> date:
    """Return the day that lies before another by a figure of the season, as ``lead.buy_hay``."""
    return days_before(day, figure_of(key).usual)
