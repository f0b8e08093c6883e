"""Words of the page: names kept apart from the text around them, money, dates, lists."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from markupsafe import Markup, escape

from service.costing.wording import spoken
from service.web.pages.systems_compared import money
from service.web.pages.templating import tamed

Document = Mapping[str, Any]

DOLLARS = "USD"
WINTERS_YEAR = 2001
"""A year without a leap day: days of a winter are counted, not dated."""


def isolated(text: str) -> Markup:
    """Return a name as it was given, escaped, and unable to turn the text around it."""
    return Markup("<bdi>{}</bdi>").format(escape(tamed(text)))


def names_of(costing: Document) -> dict[str, Markup]:
    """Return what each system is called in a sentence: its title, and today what it is."""
    baseline = costing["comparison"]["baseline"]
    return {
        system["system"]: Markup("today")
        if system["system"] == baseline
        else isolated(system["title"])
        for system in costing["systems"]
    }


def in_words(names: Iterable[Markup]) -> Markup:
    """Return names, each once, as a list in words; set apart by semicolons if one has a comma."""
    items = list(dict.fromkeys(names))
    if any("," in item for item in items):
        return Markup("; ").join(items)
    *first, last = items or [Markup()]
    return Markup(", ").join(first) + Markup(" and ") + last if first else last


def cash(amount: float, currency: str) -> str:
    """Return money to the nearest hundred, with its currency."""
    return with_currency(money(amount), currency)


def with_currency(text: str, currency: str) -> str:
    """Return an amount with the sign or the letters of its currency."""
    if currency != DOLLARS:
        return f"{text} {currency}"
    return f"-${text[1:]}" if text.startswith("-") else f"${text}"


def price(amount: float) -> str:
    """Return a price: whole from ten on, else to the cent."""
    few = 10
    return f"{amount:,.0f}" if amount >= few else f"{amount:.2f}"


def said_day(day: date) -> str:
    """Return a day without its year."""
    return f"{day.day} {day:%B}"


def title_of(items: Mapping[str, Any], key: str) -> str:
    """Return what an item of a map is called: its title, else its key as words."""
    item: Document = items.get(key) or {}
    return item.get("title") or spoken(key)
