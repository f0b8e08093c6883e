"""A stored costing held against the same question costed now, system by system, line by line."""

from collections.abc import Mapping
from typing import Any

from service.costing.wording import listed
from service.costing.wording import sentence as capitalized
from service.scenarios.changes import changes_between
from service.scenarios.effect import COST, consequence, differs, effect_of

Document = dict[str, Any]
Moved = Mapping[str, Mapping[str, str]]

LINE_COST = "annual_equivalent"
NAMES = {"engine_version": "engine", "reference_edition": "reference edition"}
STANDS = "Neither the engine nor the reference edition has moved since: the costing stands."


def difference_of(then: Document, now: Document, moved: Moved) -> Document:
    """Return what differs between two costings of the same revision.

    Parameters
    ----------
    then, now : dict
        Costings as they are answered.
    moved : mapping
        What has moved between them: engine, edition, both or neither.

    Returns
    -------
    dict
        Costs and lines [currency/year]; of the lines only those that differ.
    """
    effect = effect_of(then, now)
    old, new = _lines(then), _lines(now)
    return {
        "currency": now["currency"],
        "systems": [
            {
                "system": row["system"],
                "title": row["title"],
                COST: {"then": row["before"], "now": row["after"], "change": row["change"]},
                "lines": _differing(old.get(row["system"], {}), new.get(row["system"], {})),
            }
            for row in effect["systems"]
        ],
        "inputs": [
            change.as_document()
            for change in changes_between(then["inputs_used"], now["inputs_used"])
        ],
        "sentence": _sentence(moved, effect, now["currency"]),
    }


def _lines(costing: Document) -> dict[str, dict[str, Document]]:
    """Return the lines of each system by their keys."""
    return {
        system["system"]: {line["line"]: line for line in system["lines"]}
        for system in costing["systems"]
    }


def _differing(old: Mapping[str, Document], new: Mapping[str, Document]) -> list[Document]:
    rows: list[Document] = []
    for key in dict.fromkeys((*new, *old)):
        line = new.get(key) or old[key]
        row: Document = {
            "line": key,
            "title": line["title"],
            "then": None,
            "now": None,
            "change": None,
        }
        if key in old:
            row["then"] = old[key][LINE_COST]
        if key in new:
            row["now"] = new[key][LINE_COST]
        if key in old and key in new:
            if not differs(row["then"], row["now"]):
                continue
            row["change"] = row["now"] - row["then"]
        rows.append(row)
    return rows


def _sentence(moved: Moved, effect: Document, currency: str) -> str:
    if not moved:
        return STANDS
    steps = listed(f"{NAMES[part]} {step['then']} to {step['now']}" for part, step in moved.items())
    return f"{capitalized(steps)}: {consequence(effect, currency)}."
