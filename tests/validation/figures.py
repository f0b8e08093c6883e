"""Units by their exact factors, bands around what is printed, and costs of a head and day."""

from tests.validation.asking import Answer

LB_PER_TON = 2000
LB_PER_KG = 1 / 0.45359237
SQ_FT_PER_SQ_M = 1 / 0.3048**2
GALLON_PER_LITER = 1 / 3.785411784
PERCENT = 0.01


def within(printed: float, share: float = PERCENT) -> dict[str, float]:
    """Return the ends of a band around a printed figure, a share of it to each side."""
    return {"low": printed - share * abs(printed), "high": printed + share * abs(printed)}


def about(printed: float, by: float) -> dict[str, float]:
    """Return the ends of a band around a printed figure, so much to each side."""
    return {"low": printed - by, "high": printed + by}


def head_days(answer: Answer) -> float:
    """Return the animals times the days of winter [head x day]."""
    head = sum(group["head"] for group in answer.document["herd"].values())
    return head * sum(answer.document["winter"]["ground_days"].values())


def per_head_day(answer: Answer, system: str, *lines: str) -> float:
    """Return lines, or all of them, for a head and day of winter [currency/head/day]."""
    cost = answer.line(system, *lines) if lines else answer.cost(system)
    return cost / head_days(answer)
