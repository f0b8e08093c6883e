"""Money and intervals in the sentences of a plan."""

from service.costing.wording import amount

DOLLARS = "USD"
WHOLE_FROM = 10
"""Prices from here on are said without cents."""
COARSE, FINE, FINE_BELOW = 100, 10, 1_000
"""People read money to the nearest hundred, small sums to the nearest ten."""


def said_money(value: float, currency: str) -> str:
    """Return money as it is said: to the nearest 100, below 1,000 to the nearest 10."""
    step = FINE if abs(value) < FINE_BELOW else COARSE
    return _with_currency(f"{round(value / step) * step:,.0f}", currency)


def said_price(value: float, currency: str) -> str:
    """Return a price as it is said: whole from ten on, else to the cent."""
    return _with_currency(f"{value:,.0f}" if value >= WHOLE_FROM else f"{value:.2f}", currency)


def _with_currency(text: str, currency: str) -> str:
    return f"${text}" if currency == DOLLARS else f"{text} {currency}"


def times(count: float) -> str:
    """Return how often, in words."""
    return "once" if round(count, 1) == 1 else f"{amount(count)} times"


def every(days: float) -> str:
    """Return an interval of days as it is said."""
    return "every day" if days == 1 else f"every {days:g} days"
