"""Scenarios and revisions side by side: their figures, and the inputs in which they differ."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import Any

from service.costing.errors import Fault, InputError
from service.costing.figures_catalog import figures
from service.costing.wording import listed
from service.scenarios.access import found
from service.scenarios.changes import Change, currency_of, in_money, plain_changes, value_at
from service.scenarios.costings import body_of, costing_now
from service.scenarios.desk import Caller, Desk
from service.scenarios.effect import COST
from service.scenarios.kept import Kept, kept_at
from service.scenarios.records import StoredCosting

Document = dict[str, Any]

MOST_COMPARED = 12
ACRES_DAMAGED = "quantities.acres_damaged"
TITLES: Mapping[str, str] = {
    COST: "Year, all told",
    "out_of_pocket": "Out of pocket",
    "first_cost": "Up front",
    "net_present_cost": "Present value of all costs",
    "quantities.hay_bought_ton": "Hay to buy",
    "quantities.hay_wasted_ton_dm": "Hay wasted",
    "quantities.labor_hours": "Hours of people",
    ACRES_DAMAGED: "Acres damaged",
    "cheapest_in_winters": "Winters in which it is the cheapest",
}
"""Figures of a comparison by their paths below the system; the acres are those of all severities
together."""

NAMES = frozenset({"name", "external_id"})
"""What scenarios are called stands at their heads, not among the differences."""


@dataclass(frozen=True, slots=True)
class _Entry:
    """One of those compared."""

    kept: Kept
    costing: StoredCosting
    body: Document

    @property
    def systems(self) -> dict[str, Document]:
        return {system["system"]: system for system in self.body["systems"]}

    @property
    def best(self) -> Document:
        return self.systems[self.body["best_system"]]

    @property
    def currency(self) -> str:
        return self.body["currency"]

    @property
    def price_year(self) -> int | None:
        return self.kept.document.get("price_year")

    @property
    def winters(self) -> int:
        return self.body["winter"]["winters"]


def compared(desk: Desk, caller: Caller, wanted: Sequence[tuple[str, int | None]]) -> Document:
    """Return the costings of several scenarios or revisions side by side.

    Parameters
    ----------
    desk : Desk
        Where scenarios are kept.
    caller : Caller
        Who asks; a link may compare revisions of its own scenario.
    wanted : sequence of (str, int or None)
        Id and revision of each; the newest revision if None.

    Returns
    -------
    dict
        What stands in one order for all: ``compared``, and ``values`` of the same length.

    Raises
    ------
    InputError
        If there are too many or none, or one of them cannot be costed.
    UnknownScenarioError, BinnedError, UnknownPartError
        If there is no such scenario or revision that the caller may see.
    """
    if not 1 <= len(wanted) <= MOST_COMPARED:
        detail = f"{len(wanted)} scenarios are named; at most {MOST_COMPARED} are compared at once."
        if not wanted:
            detail = "No scenario is named; name those to compare."
        allowed = f"1 to {MOST_COMPARED}"
        raise InputError([Fault("scenarios", detail, received=len(wanted), allowed=allowed)])
    with desk.store.reading() as session:
        chosen: list[Kept] = []
        for scenario_id, number in wanted:
            head = found(session, caller, scenario_id)
            chosen.append(kept_at(session, desk, head, head.revision if number is None else number))
    entries = _costed(desk, caller, chosen)
    return {
        "compared": [_shown(entry) for entry in entries],
        "figures": _figures(entries),
        "by_system": _by_system(entries),
        "differences": _differences([entry.kept.document for entry in entries]),
        "warnings": _warnings(entries),
    }


def _costed(desk: Desk, caller: Caller, chosen: Iterable[Kept]) -> list[_Entry]:
    entries: list[_Entry] = []
    faults: list[Fault] = []
    for kept in chosen:
        number = kept.revision.number
        try:
            costing = costing_now(desk, caller, kept.head.id, number)
        except InputError as error:
            name = f"{kept.head.name}, revision {number}"
            detail = f"{name} cannot be costed: {error.faults[0].detail}"
            faults.append(Fault("scenarios", detail, received=f"{kept.head.id}@{number}"))
        else:
            entries.append(_Entry(kept, costing, body_of(costing)))
    if faults:
        raise InputError(faults)
    return entries


def _shown(entry: _Entry) -> Document:
    kept, body = entry.kept, entry.body
    return {
        "scenario": kept.head.id,
        "external_id": kept.document.get("external_id"),
        "name": kept.document.get("name") or kept.head.name,
        "revision": kept.revision.number,
        "costing": entry.costing.id,
        "engine_version": body["engine_version"],
        "reference_edition": body["reference_edition"],
        "currency": entry.currency,
        "price_year": entry.price_year,
        "winters": entry.winters,
        "best_system": body["best_system"],
        "best_title": entry.best["title"],
        "systems": [
            {
                "system": system["system"],
                "title": system["title"],
                "rank": system["rank"],
                **{path: figure_of(system, path) for path in TITLES},
            }
            for system in body["systems"]
        ],
    }


def figure_of(system: Mapping[str, Any], path: str) -> float:
    """Return a figure of a comparison, given a system as it is answered."""
    value: Any = system
    for name in path.split("."):
        value = value[name]
    return sum(value.values()) if path == ACRES_DAMAGED else value


def _figures(entries: Sequence[_Entry]) -> list[Document]:
    """Return the figures of the best system of each."""
    return [
        {
            "figure": path,
            "title": title,
            "unit": in_money(_units()[path], {entry.currency for entry in entries}),
            "values": [figure_of(entry.best, path) for entry in entries],
        }
        for path, title in TITLES.items()
    ]


@cache
def _units() -> Mapping[str, str]:
    """Return the unit of each figure, as the catalogue has it."""
    return {figure.path.partition(".<severity>")[0]: figure.unit for figure in figures()}


def _by_system(entries: Sequence[_Entry]) -> list[Document]:
    """Return the costs of the systems whose key several of them have."""
    systems = [entry.systems for entry in entries]
    keys = dict.fromkeys(key for present in systems for key in present)
    return [
        {
            "system": key,
            "titles": [present[key]["title"] if key in present else None for present in systems],
            "values": [present[key][COST] if key in present else None for present in systems],
        }
        for key in keys
        if sum(key in present for present in systems) > 1
    ]


def _differences(documents: Sequence[Document]) -> list[Document]:
    """Return the inputs that are not the same in all documents, each with its value in every one.

    An item that only some of them have is one row; so is each input in which those that have it
    differ.
    """
    known: dict[str, Change] = {}
    for first, other in combinations(documents, 2):
        for change in plain_changes(first, other):
            if change.input not in NAMES:
                known.setdefault(change.input, change)
    currencies = {currency_of(document) for document in documents}
    return [
        {
            "input": path,
            "title": change.title,
            "unit": in_money(change.unit, currencies),
            "values": [value_at(document, path) for document in documents],
        }
        for path, change in known.items()
    ]


def _warnings(entries: Sequence[_Entry]) -> list[str]:
    """Say what makes the figures hard to compare."""
    values: Mapping[str, list[object]] = {
        "Costs are in different currencies and cannot be compared": [
            entry.currency for entry in entries
        ],
        "Prices are of different years": [entry.price_year for entry in entries],
        "Reference values are of different editions": [
            entry.costing.reference_edition for entry in entries
        ],
        "The numbers of winters differ": [entry.winters for entry in entries],
    }
    return [
        f"{what}: {listed('not given' if value is None else str(value) for value in found)}."
        for what, found in values.items()
        if len(set(found)) > 1
    ]
