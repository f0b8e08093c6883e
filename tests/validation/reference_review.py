"""Grades every reference value, and moves those that nothing bears out on four invented farms.

Measure: how far the lead of the cheapest system over the next moves between the low and the high
of a value, all else as it is, as a share of what the cheapest costs. That lead is what a costing
says first, and the sensitivity question answers with it, so anybody can ask the same. A value that
makes only a dear system dearer moves no lead; it counts for nothing here.

A value that a farm gives itself is not moved on that farm: there the tables play no part.
"""

import json
import re
from collections.abc import Iterator
from typing import Any

import httpx

from service.costing.reference.keys import template_of
from service.costing.reference.ranges import Ranges, load_ranges
from service.costing.reference.table import (
    ASSUMPTION,
    COMMON_PRACTICE,
    Edition,
    Source,
    load_edition,
    newest_edition,
)
from service.demo import demo_document
from service.trust.review_records import (
    DECIMALS,
    DOUBTFUL,
    TEN,
    Farm,
    Grade,
    Move,
    OwnFigure,
    Review,
    Thing,
    Value,
)
from service.web.openapi import EXAMPLES
from tests.validation.asking import costed, posted

Document = dict[str, Any]

SEEN: dict[str, Grade] = {
    "standard": "handbook_seen",
    "handbook": "handbook_seen",
    "paper": "paper_seen",
    "extension": "extension_seen",
    "government": "extension_seen",
}
VARIANTS = ("thimble_creek_flock", "eleven_cows", "gravel_ridge_lease")
ONE_LOOK = frozenset(
    {"class", "stage", "quality", "coat", "state", "mud", "drainage", "severity", "year", "x"}
)
"""Cells of a table that differ by these alone stand for one thing: who measures one of them on a
farm measures the others with it. So do the minutes of a task, wherever it is done."""
TASK = re.compile(r"work\.[a-z0-9_]+\.(?P<task>[a-z0-9_]+)\.[a-z_]+")
NAME = "[a-z0-9_]+"
ASSUMPTIONS = "assumptions."
ENDS = ("low", "high")


def review() -> Review:
    """Grade all values of the newest edition and move those that nothing bears out."""
    edition = load_edition(newest_edition())
    ranges = load_ranges(edition.name)
    values = tuple(_values(edition))
    doubted = {value.key: value for value in values if value.grade in DOUBTFUL}
    roomy = {key for key, value in doubted.items() if value.has_room}
    tried = [_Tried(key, document) for key, document in farm_documents().items()]
    moves = _ranked(
        _moved(key, tried, re.compile(re.escape(f"{ASSUMPTIONS}{key}")), "reference")
        for key in sorted(roomy)
    )
    return Review(
        edition=edition.name,
        values=values,
        own_figures=tuple(_own_figures(ranges)),
        farms=tuple(farm.farm for farm in tried),
        moves=moves,
        things=_things(moves, doubted, tried),
        without_room=tuple(sorted(doubted.keys() - roomy)),
        unused=tuple(sorted(roomy - {move.what for move in moves})),
        own_moves=_ranked(_moved(path, tried, _paths(path), "given") for path in ranges.rows),
    )


def farm_documents() -> dict[str, Document]:
    """Return the demo farm and its three variants, by short name."""
    found = {"whetstone_hollow": demo_document()}
    for name in VARIANTS:
        text = (EXAMPLES / f"cost_document_{name}.json").read_text("utf-8")
        found[name] = json.loads(text)["request"]["document"]
    return found


def grade_of(source: Source, *, seen: bool) -> Grade:
    """Return how well a value is borne out."""
    if source == ASSUMPTION:
        return "assumption"
    if source == COMMON_PRACTICE:
        return "common_practice"
    return SEEN[source.kind] if seen else "from_memory"


def thing_of(key: str) -> str:
    """Return what a value is a figure of, ``*`` where one look would settle several."""
    task = TASK.fullmatch(key)
    if task:
        return f"work.*.{task['task']}.*"
    template = template_of(key)
    if template is None:
        raise LookupError(key)
    return ".".join(
        "*" if _is_one_look(shape) else word
        for shape, word in zip(template.key.split("."), key.split("."), strict=True)
    )


def _is_one_look(shape: str) -> bool:
    return shape.startswith("<") and ("|" in shape or shape.strip("<>") in ONE_LOOK)


def _values(edition: Edition) -> Iterator[Value]:
    for row in edition.rows.values():
        source = edition.sources[row.source]
        yield Value(
            key=row.key,
            meaning=row.meaning,
            unit=row.unit,
            low=row.low,
            usual=row.usual,
            high=row.high,
            source=source.in_words,
            grade=grade_of(source, seen=row.seen),
            thing=thing_of(row.key),
            find_out=row.find_out,
        )


def _own_figures(ranges: Ranges) -> Iterator[OwnFigure]:
    for row in ranges.rows.values():
        source = ranges.sources[row.source]
        is_share = row.low is None or row.high is None
        ends = (row.low_share, row.high_share) if is_share else (row.low, row.high)
        yield OwnFigure(
            path=row.path,
            meaning=row.meaning,
            unit=row.unit,
            low=ends[0] or 0.0,
            high=ends[1] or 0.0,
            is_share=is_share,
            source=source.in_words,
            grade=grade_of(source, seen=row.seen),
            find_out=row.find_out,
        )


class _Tried:
    """A farm, costed as it stands and asked what each input does."""

    def __init__(self, key: str, document: Document) -> None:
        self.document = document
        answer = costed(document)
        if answer.costing["ranked_by"] != "annual_equivalent_cost":
            message = f"{key} is ranked by {answer.costing['ranked_by']}, not by cost"
            raise ValueError(message)
        order = sorted(answer.costing["systems"], key=lambda each: each["rank"])
        self.best = order[0]["system"]
        self.farm = Farm(
            key=key,
            title=document["name"],
            systems=len(order),
            best=order[0]["title"],
            second=order[1]["title"],
            cost=order[0]["annual_equivalent_cost"],
            lead=order[1]["annual_equivalent_cost"] - order[0]["annual_equivalent_cost"],
        )
        asked = posted("/v1/analyses", {"question": "sensitivity", "document": document})
        if asked.status_code != httpx.codes.OK:
            raise ValueError(asked.text)
        self.rows: dict[str, Document] = {
            row["input"]: row for row in asked.json()["result"]["rows"]
        }

    def share(self, *leads: float) -> float:
        """Return how far the lead moves between some of its values and the lead as it stands."""
        known = (*leads, self.farm.lead)
        return (max(known) - min(known)) / self.farm.cost

    def lead_with(self, settings: dict[str, float | str]) -> float:
        """Return the lead of the system that is cheapest as things stand, with other values."""
        costs = {
            each["system"]: each["annual_equivalent_cost"]
            for each in costed(self.document, settings).costing["systems"]
        }
        return min(cost for key, cost in costs.items() if key != self.best) - costs[self.best]


def _moved(what: str, tried: list[_Tried], inputs: re.Pattern[str], origin: str) -> Move:
    """Return the largest move on each farm among some inputs, each moved alone."""
    shares: dict[str, float] = {}
    turns: list[str] = []
    unfed: list[str] = []
    for farm in tried:
        rows = [
            row
            for name, row in farm.rows.items()
            if inputs.fullmatch(name) and row["origin"] == origin
        ]
        if not rows:
            continue
        leads = [[row[f"lead_at_{end}"] for end in ENDS if is_whole(row, end)] for row in rows]
        shares[farm.farm.key] = max(farm.share(*each) for each in leads)
        if any(lead < 0 for each in leads for lead in each):
            turns.append(farm.farm.key)
        if not all(is_whole(row, end) for row in rows for end in ENDS):
            unfed.append(farm.farm.key)
    return Move(what, shares, tuple(turns), tuple(unfed))


def is_whole(row: Document, end: str) -> bool:
    """Whether the costs at an end of an input are whole: no system leaves animals unfed there."""
    return not row[f"unfed_at_{end}"]


def _paths(pattern: str) -> re.Pattern[str]:
    """Return the expression for the paths that a path with names in it stands for."""
    parts = re.split(r"(<[a-z]+>)", pattern)
    return re.compile("".join(NAME if part[:1] == "<" else re.escape(part) for part in parts))


def _ranked(moves: Iterator[Move]) -> tuple[Move, ...]:
    """Return the moves on any farm, the largest first."""
    found = [move for move in moves if move.shares]
    return tuple(sorted(found, key=lambda move: (-round(move.largest, DECIMALS), move.what)))


def _things(
    moves: tuple[Move, ...], doubted: dict[str, Value], tried: list[_Tried]
) -> tuple[Thing, ...]:
    """Put values together that one look would settle, in the order of the largest move."""
    members: dict[str, list[str]] = {}
    for move in moves:
        members.setdefault(doubted[move.what].thing, []).append(move.what)
    things: list[Thing] = []
    for name, keys in members.items():
        inputs = re.compile("|".join(re.escape(f"{ASSUMPTIONS}{key}") for key in keys))
        move = _moved(name, tried, inputs, "reference")
        together = (
            {
                farm.farm.key: _together([doubted[key] for key in keys], farm)
                for farm in tried
                if farm.farm.key in move.shares
            }
            if len(things) < TEN
            else {}
        )
        things.append(Thing(move, tuple(sorted(keys)), together))
    return tuple(things)


def _together(values: list[Value], farm: _Tried) -> float:
    """Return how far the lead moves if all values of a thing are low, or high, at once."""
    used = [value for value in values if f"{ASSUMPTIONS}{value.key}" in farm.rows]
    leads: list[float] = []
    for end in ENDS:
        rows = [farm.rows[f"{ASSUMPTIONS}{value.key}"] for value in used]
        if all(is_whole(row, end) for row in rows):
            given = {row["input"]: row[end] for row in rows if row["origin"] == "reference"}
            leads.append(farm.lead_with(given))
    return farm.share(*leads)
