"""Names and numbers in sentences."""

from collections.abc import Iterable

WHOLE_FROM = 100
"""Amounts from here on are said without decimals."""


def listed(names: Iterable[str]) -> str:
    """Return names, each once, as a list in words: ``a, b and c``.

    Names that have commas in them are set apart by semicolons.
    """
    items = list(dict.fromkeys(names))
    if any("," in item for item in items):
        return "; ".join(items)
    *first, last = items or [""]
    return f"{', '.join(first)} and {last}" if first else last


def spoken(key: str) -> str:
    """Return a key as words."""
    return key.replace("_", " ")


def named(title: str | None, key: str) -> str:
    """Return what something is called: its title, else its key as words."""
    return title or spoken(key)


def amount(value: float) -> str:
    """Return an amount as it is said: whole if large, one decimal, or two figures if under one."""
    if abs(value) >= WHOLE_FROM:
        return f"{value:,.0f}"
    if 0 < abs(value) < 1:
        return f"{value:.2g}"
    return f"{value:.1f}".removesuffix(".0")


def count(value: float) -> str:
    """Return a number of things, whole."""
    return f"{value:,.0f}"


def share(fraction: float) -> str:
    """Return a fraction as a whole percentage in words."""
    return f"{fraction:.0%}".replace("%", " %")


def sentence(text: str) -> str:
    """Return a text with a capital letter in front."""
    return text[:1].upper() + text[1:]
