"""How faults put lists and numbers into words."""

from collections.abc import Sequence

MOST_LISTED = 12
LONGEST_WORD = 60
FEWEST_TO_JOIN = 2


def listed(names: Sequence[str]) -> str:
    """Return names as they stand in a sentence; of many only the first."""
    shown = [short(name) for name in names[:MOST_LISTED]]
    more = len(names) - len(shown)
    if more:
        shown.append(f"{more} more")
    if len(shown) < FEWEST_TO_JOIN:
        return "".join(shown)
    return f"{', '.join(shown[:-1])} and {shown[-1]}"


def choice(names: Sequence[str]) -> str | None:
    """Return names as the values that are allowed, or None where there is none."""
    shown = [short(name) for name in names[:MOST_LISTED]]
    more = len(names) - len(shown)
    return ", ".join([*shown, f"{more} more"] if more else shown) or None


def short(word: str) -> str:
    """Return a word, cut where nobody would read on."""
    return word if len(word) <= LONGEST_WORD else f"{word[:LONGEST_WORD]}..."


def amount(value: float) -> str:
    """Return a number as it stands in a sentence."""
    return f"{value:.10g}"


def rounded(days: float) -> str:
    """Return days to a tenth."""
    return f"{days:.1f}".removesuffix(".0") if days >= 0.05 else "less than 0.1"  # noqa: PLR2004 - rounds to 0.1


def within(minimum: float | None, maximum: float | None, *, whole: bool = False) -> str:
    """Return a range in words."""
    parts = [
        f"{words} {amount(limit)}"
        for words, limit in (("at least", minimum), ("at most", maximum))
        if limit is not None
    ]
    return ", ".join([*parts, "a whole number"] if whole else parts)
