"""How faults put lists and numbers into words."""

from collections.abc import Sequence

from service.costing.wording import listed

MOST_LISTED = 12
LONGEST_WORD = 60
LEAST_SAID = 0.05


def some_of(names: Sequence[str]) -> str:
    """Return names as they stand in a sentence; of many only the first."""
    return listed(_first_of(names))


def choice(names: Sequence[str]) -> str | None:
    """Return names as the values that are allowed, or None where there is none."""
    return ", ".join(_first_of(names)) or None


def _first_of(names: Sequence[str]) -> list[str]:
    shown = [short(name) for name in names[:MOST_LISTED]]
    more = len(names) - len(shown)
    return [*shown, f"{more} more"] if more else shown


def short(word: str) -> str:
    """Return a word, cut where nobody would read on."""
    return word if len(word) <= LONGEST_WORD else f"{word[:LONGEST_WORD]}..."


def exact(value: float) -> str:
    """Return a number as it was sent."""
    return f"{value:.10g}"


def rounded(days: float) -> str:
    """Return days to a tenth."""
    return f"{days:.1f}".removesuffix(".0") if days >= LEAST_SAID else "less than 0.1"
