"""How the review of the reference values is put into words."""

from collections.abc import Mapping
from itertools import groupby

from service.trust.review_records import (
    DOUBTFUL,
    GRADES,
    Grade,
    Move,
    OwnFigure,
    Review,
    TenValue,
    Thing,
    Value,
    ten_values,
)
from service.trust.wording import NONE, SMALLEST_SHARE, percent

GRADE_TITLES: Mapping[Grade, str] = {
    "handbook_seen": "Standard or handbook, read",
    "paper_seen": "Measured and published, read",
    "extension_seen": "Extension or government sheet, read",
    "from_memory": "From memory of a publication: unverified",
    "common_practice": "Common practice, no source",
    "assumption": "Assumption",
}
WORK = "work."
"""Begins the keys of minutes, whose meaning does not name the task."""
OPEN_RANKS = 30
"""The ranked list is folded after these."""
MEASURE = (
    "A value nobody bears out was set to its low and to its high on four invented farms, all else "
    "as it is. What counts is how far that moves the lead of the cheapest system over the next, as "
    "a share of what the cheapest costs. Values that one look on a farm would settle are one thing."
)
VALUES = (
    "The middle figure is graded; low and high are often an assumption even where it is published. "
    "The note to a value, with the reason for it, is shown by `winterground reference KEY` and at "
    "/v1/reference-values/KEY."
).replace("`", "")


def review_in_words(review: Review) -> str:
    """Return what is told of the review before its tables."""
    doubtful = sum(value.grade in DOUBTFUL for value in review.values)
    return (
        f"Edition {review.edition} has {len(review.values)} values. {doubtful} of them are "
        "assumptions, common practice or from memory; all can be replaced by a figure of the farm, "
        "and each has a low and a high, or says in its note why not."
    )


def values_by_grade(review: Review) -> list[tuple[Grade, list[tuple[str, list[Value]]]]]:
    """Return all values by grade, and within it by source, in the order of the edition."""
    found: list[tuple[Grade, list[tuple[str, list[Value]]]]] = []
    for grade in GRADES:
        rows = sorted(
            (value for value in review.values if value.grade == grade), key=lambda row: row.source
        )
        by_source = groupby(rows, key=lambda row: row.source)
        found.append((grade, [(source, list(values)) for source, values in by_source]))
    return found


def of_value(value: float | str | None) -> str:
    """Return a bound or the usual value of a reference value."""
    if value is None:
        return NONE
    return value if isinstance(value, str) else f"{value:,.6g}"


def moved(share: float | None) -> str:
    """Return how far a lead moves, as a share of the cost; nothing where it takes no part."""
    if share is None:
        return NONE
    if share < SMALLEST_SHARE:
        return "under 0.1 %"
    return percent(share)


def is_told(move: Move) -> bool:
    """Whether a move is large enough for a row of its own."""
    return move.largest >= SMALLEST_SHARE


def meaning(review: Review, thing: Thing) -> str:
    """Return what a thing is: as it is told among the ten, or by the first of its values."""
    said = ten_values().get(thing.move.what)
    if said:
        return said.title
    found = next((value.meaning for value in review.values if value.key in thing.values), "")
    if thing.move.what.startswith(WORK):
        return f"{found.removesuffix('.')}: {thing.move.what.split('.')[2].replace('_', ' ')}"
    return found.removesuffix(".")


def turned(review: Review, move: Move) -> str:
    """Return the farms on which a move makes another system the cheapest."""
    titles = {farm.key: farm.title for farm in review.farms}
    return "; ".join(titles[farm] for farm in move.turns)


def moves_in_words(review: Review, thing: Thing) -> str:
    """Return how far a thing moves each farm, in a sentence."""
    shares = thing.move.shares
    moves = ", ".join(
        f"{farm.title} {moved(shares[farm.key])}" for farm in review.farms if farm.key in shares
    )
    turns = turned(review, thing.move)
    return f"moves the lead by {moves} of the cost." + (
        f" Another system can become the cheapest on {turns}." if turns else ""
    )


def paragraphs(said: TenValue) -> tuple[tuple[str, str], ...]:
    """Return what is said of one of the ten, each with its heading."""
    return (
        ("What is known.", said.known),
        ("From where to where.", said.range),
        ("What would settle it.", said.settled_by),
        ("How to measure your own.", said.measure),
    )


def not_ranked(review: Review) -> str:
    """Return a sentence on what has no row in the ranked list."""
    small = sum(not is_told(thing.move) for thing in review.things)
    return (
        f"{small} more move no lead by as much as 0.1 %. {len(review.unused)} have a low and a "
        f"high, but none of the four farms takes them from the tables; {len(review.without_room)} "
        "are words or have no low and high, so there is nothing to move."
    )


def end(figure: OwnFigure, value: float) -> str:
    """Return an end of what a given figure may be off by."""
    return f"{value:g} x" if figure.is_share else f"{value:g} {figure.unit}"
