"""Answers for tests: those of the invented farm of the demo, and answers drawn at random."""

from typing import Any

from hypothesis import strategies as st

from service.quick_start.catalog import (
    CHOICE,
    DATE,
    DAYS_OF_TEN,
    FIELDS,
    HALF_MONTH,
    SOME,
    TEXT,
    YES_NO,
    Part,
    catalog,
)

WHETSTONE: dict[str, Any] = {
    "animals": {
        "cows": 62,
        "first_calf_heifers": 9,
        "weaned_calves": 13,
        "bulls": 3,
        "ewes": 88,
        "rams": 3,
        "cow_size": "middling",
        "ewe_weight": 168,
    },
    "young": {
        "first_calf": "early_march",
        "most_calves": "early_may",
        "first_lamb": "early_april",
        "most_lambs": "early_may",
    },
    "season": {"hay_starts": "12-01", "grass_takes_over": "04-11"},
    "ground": {"frozen": 1, "snow": 1, "firm": 4, "soft": 4},
    "feeding": {"picture": "open_ring", "same_place": "yes"},
    "hay": {
        "bale_size": "round_5x5",
        "bale_weight": 1050,
        "bales": 355,
        "price_per_bale": 51,
        "look": "ordinary",
        "kept": "grass",
    },
    "work": {
        "who": "family",
        "loader": "yes",
        "minutes": 84,
        "worst_minutes": 140,
        "hour_worth": 20,
    },
    "land": {
        "fields": [
            {
                "name": "Barn Lot",
                "acres": 5.5,
                "drains": "wet",
                "whose": "yours",
                "water": "yes",
                "fed_here": "yes",
            },
            {"name": "Ridge", "acres": 46, "drains": "well", "whose": "yours", "water": "yes"},
            {
                "name": "Long Bench",
                "acres": 38,
                "drains": "middling",
                "whose": "yours",
                "water": "no",
            },
            {
                "name": "Home Pasture",
                "acres": 34.5,
                "drains": "middling",
                "whose": "yours",
                "water": "yes",
            },
        ],
        "spare_acres": 44,
    },
    "damage": {
        "acres_repaired": 6.5,
        "pad_length": 20,
        "pad_width": 10,
        "waterers": 1,
        "feeders": 6,
        "sheep_racks": 6,
    },
    "wishes": {
        "better": ["less_money", "drier_animals"],
        "money": 45000,
        "without_cost_share": "no",
    },
}
"""What the people of the demo farm would say."""


def numbers(part: Part, largest: float) -> st.SearchStrategy[float]:
    """Draw a number that a part allows, up to what a farm may have."""
    most = largest if part.most is None else min(part.most, largest)
    if part.whole:
        return st.integers(int(part.least), int(most)).map(float)
    return st.integers(round(part.least * 100), round(most * 100)).map(lambda cents: cents / 100)


LARGEST = {"head": 400, "acre": 500, "pace": 60, "piece": 20, "bale": 3000, "currency": 200_000}
"""What a large farm may say; others reach as far as they are allowed."""

DAYS = [f"{month:02}-{day:02}" for month in range(1, 13) for day in (1, 9, 28)]


def of_part(part: Part) -> st.SearchStrategy[Any]:
    """Draw an answer to a part."""
    if part.kind in {CHOICE, YES_NO, HALF_MONTH}:
        return st.sampled_from(part.keys)
    if part.kind == SOME:
        return st.lists(st.sampled_from(part.keys), min_size=1, max_size=2, unique=True)
    if part.kind == DATE:
        return st.sampled_from(DAYS)
    if part.kind == TEXT:
        return st.sampled_from(["Ridge", "Long Bench", "Field 2", "7 acres", "=1+1", "<b>"])
    if part.kind == FIELDS:
        return st.lists(some_of(part.parts), max_size=4)
    return numbers(part, LARGEST.get(part.unit, 5_000))


def some_of(parts: tuple[Part, ...]) -> st.SearchStrategy[dict[str, Any]]:
    """Draw answers to some of the parts; the others are open, or null."""
    return st.fixed_dictionaries(
        {}, optional={part.id: st.none() | of_part(part) for part in parts}
    )


@st.composite
def answers(draw: st.DrawFn) -> dict[str, Any]:
    """Draw answers to all ten questions that do not gainsay each other."""
    found = {name: draw(some_of(question.parts)) for name, question in catalog().items()}
    ground = [part.id for part in catalog()["ground"].parts if part.kind == DAYS_OF_TEN]
    found["ground"] = {**found["ground"], **dict.fromkeys(ground)}
    if draw(st.booleans()):
        cuts = sorted(draw(st.lists(st.integers(0, 10), min_size=3, max_size=3)))
        parts = [high - low for low, high in zip([0, *cuts], [*cuts, 10], strict=True)]
        found["ground"] |= dict(zip(ground, parts, strict=True))
    return found
