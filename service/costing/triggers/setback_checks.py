"""What a system does in winter, held against the setbacks of the chosen place.

A scenario has one distance for each field, to the nearest stream, pond, sinkhole or well. A rule
that speaks of wells alone is held against that distance: if it is kept there it is kept, and if
not, the words say that the nearest water may be no well. Distances to homes and inlets are not
known at all.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from service.costing.reference.setbacks import Place, Setback, place_called
from service.costing.triggers.facts import Facts
from service.costing.triggers.site_uses import Use, uses_of

Verdict = Literal["kept", "too_near", "not_known", "not_checked"]

OWN, NONE = "own", "none"
MEASURABLE = frozenset({"water", "well", "sinkhole"})
"""Kinds of setback that the distance of a field can break."""


@dataclass(frozen=True, slots=True)
class SetbackCheck:
    """One use of a field held against one setback."""

    field: str
    """Key of the field, empty where the scenario names none."""
    title: str
    use: str
    """What is done there."""
    setback: str
    """Key of the setback, ``own`` for the scenario's own figure, ``none`` if no setback applies."""
    distance_ft: float | None
    asked_ft: float | None
    verdict: Verdict
    words: str


def setback_checks(facts: Facts) -> list[SetbackCheck]:
    """Hold every use that setbacks can speak of against the chosen place and the own figure."""
    land = facts.scenario.land
    place = place_called(land.place) if land.place is not None else None
    found: list[SetbackCheck] = []
    for use in uses_of(facts):
        if use.activity is None:
            continue
        held = [_held(facts, use, setback) for setback in applying(use, place)] if place else []
        if land.setback_ft is not None and use.activity != "spreading":
            held.append(_own(facts, use, land.setback_ft))
        found += held or [_unchecked(facts, use, place)]
    return found


def applying(use: Use, place: Place) -> list[Setback]:
    """Return the setbacks of a place that speak of a use.

    A store of manure is held against rules on heaps where the place has none on stores.
    """
    wanted = {use.activity, "fence"} if use.activity == "feeding" else {use.activity}
    if use.activity == "storage" and not any(row.activity == "storage" for row in place.setbacks):
        wanted = {"stack"}
    return [
        row
        for row in place.setbacks
        if row.activity in wanted and (use.on_lot or not row.lots_only)
    ]


def water_asked(facts: Facts) -> list[float]:
    """Return every distance to water that is asked of a system by the place or the own figure.

    Spreading is left out: where it is done is not known.
    """
    land = facts.scenario.land
    asked = [land.setback_ft] if land.setback_ft is not None else []
    if land.place is not None:
        place = place_called(land.place)
        asked += [
            row.distance_ft
            for use in uses_of(facts)
            if use.activity not in {None, "spreading"}
            for row in applying(use, place)
            if row.kind in MEASURABLE
        ]
    return asked


def _distance(facts: Facts, use: Use) -> float | None:
    return facts.field(use.field).distance_to_water_ft if use.field is not None else None


def _held(facts: Facts, use: Use, setback: Setback) -> SetbackCheck:
    distance = _distance(facts, use)
    asked = setback.distance_ft
    verdict = _verdict(setback.kind, distance, asked)
    words = " ".join(_words(use, setback, distance, verdict))
    return SetbackCheck(
        use.field or "", use.title, use.words, setback.key, distance, asked, verdict, words
    )


def _verdict(kind: str, distance: float | None, asked: float) -> Verdict:
    if kind == "other" or distance is None:
        return "not_known"
    if distance >= asked:
        return "kept"
    return "too_near" if kind in MEASURABLE else "not_known"


def _words(use: Use, setback: Setback, distance: float | None, verdict: Verdict) -> Iterator[str]:
    asked = f"{feet(setback.distance_ft)} from {setback.from_what} asked"
    if use.activity == "spreading":
        yield f"{asked}; where manure is spread is not known here."
    elif setback.kind == "other":
        yield f"{asked}; this distance is not among the answers."
    elif distance is None:
        yield f"{asked}; the distance to water is not given."
    elif verdict == "kept":
        yield f"{asked}; the nearest water is {feet(distance)} away."
    elif verdict == "not_known":
        yield (
            f"{asked}; the nearest water is {feet(distance)} away, and whether it is of that kind "
            "is not known."
        )
    elif setback.kind == "water":
        yield f"{asked}; the nearest water is {feet(distance)} away: too near."
    else:
        yield (
            f"{asked}; the nearest water is {feet(distance)} away: too near if it is of that kind. "
            "There is one distance for streams, ponds, sinkholes and wells."
        )
    if use.of_hay:
        yield "The rule speaks of manure; a stack of hay is held against it to be on the safe side."
    elif use.activity == "storage" and setback.activity == "stack":
        yield "The rule speaks of heaps; the place has none on built stores in this table."


def _own(facts: Facts, use: Use, asked: float) -> SetbackCheck:
    distance = _distance(facts, use)
    verdict = _verdict("water", distance, asked)
    start = f"{feet(asked)} by your own reading"
    if distance is None:
        words = f"{start}; the distance to water is not given."
    else:
        end = ": too near." if verdict == "too_near" else "."
        words = f"{start}; the nearest water is {feet(distance)} away{end}"
    return SetbackCheck(use.field or "", use.title, use.words, OWN, distance, asked, verdict, words)


def _unchecked(facts: Facts, use: Use, place: Place | None) -> SetbackCheck:
    if place is not None:
        words = (
            f"The table has no setback of {place.title} for this; that is not to say none holds."
        )
    elif facts.scenario.land.setback_ft is not None:
        words = "Your own distance is held against feeding and stacks alone."
    else:
        words = "No place chosen: no setback was checked."
    return SetbackCheck(
        field=use.field or "",
        title=use.title,
        use=use.words,
        setback=NONE,
        distance_ft=_distance(facts, use),
        asked_ft=None,
        verdict="not_checked",
        words=words,
    )


def feet(distance: float) -> str:
    """Return a distance as it is said: whole feet."""
    return f"{distance:,.0f} ft"


def in_short(checks: list[SetbackCheck], verdict: Verdict) -> str:
    """Return in words where checks have a verdict: the places, each with the largest distance."""
    largest: dict[str, float] = {}
    for check in checks:
        if check.verdict == verdict:
            largest[check.title] = max(largest.get(check.title, 0), check.asked_ft or 0)
    return ", ".join(
        f"{title} ({feet(asked)})" if asked else title for title, asked in largest.items()
    )
