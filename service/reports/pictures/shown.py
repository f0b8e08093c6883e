"""Which systems a picture shows, in which order, and how each of them looks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.errors import Fault, InputError, nearest
from service.costing.wording import named
from service.reports.pictures.looks import SYSTEMS, Stroke
from service.reports.pictures.wording import plain, short

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Shown:
    """A system as a picture shows it."""

    key: str
    title: str
    document: Document
    look: Stroke


def shown_systems(body: Document) -> list[Shown]:
    """Return the baseline, then the others by rank, no more than there are looks."""
    baseline = body["comparison"]["baseline"]
    ordered = sorted(body["systems"], key=lambda item: (item["system"] != baseline, item["rank"]))
    return [
        Shown(item["system"], title_of(item), item, look)
        for item, look in zip(ordered, SYSTEMS, strict=False)
    ]


def left_out(body: Document) -> str:
    """Return a sentence on the systems that are not drawn, or nothing."""
    count = len(body["systems"]) - len(SYSTEMS)
    if count <= 0:
        return ""
    return "1 more system is not drawn." if count == 1 else f"{count} more systems are not drawn."


def one_system(body: Document, more: Document, default: str) -> Document:
    """Return the system that is asked for, else the default one.

    Raises
    ------
    InputError
        If no system has the key that is asked for.
    """
    systems = {item["system"]: item for item in body["systems"]}
    key = str(more.get("system") or default)
    if key not in systems:
        known = list(systems)
        raise InputError(
            [
                Fault(
                    "system",
                    "No system of this costing has that key.",
                    received=key,
                    allowed=", ".join(known),
                    suggestion=nearest(key, known),
                )
            ]
        )
    return systems[key]


def title_of(system: Document) -> str:
    """Return what a system is called, of a length that can be read; its key if nothing is seen."""
    return short(named(plain(system["title"]), system["system"]))
