"""The published shapes of winters as they were, for the description of the interface alone."""

from datetime import datetime
from typing import Any

from pydantic import Field, TypeAdapter

from service.season.facts import WinterFacts
from service.web.answer_models import Author, Kept
from service.web.past_winter_bodies import FACTS, READ_ONLY

WINTER_ENVELOPE: dict[str, Any] = {
    "title": "WinterEnvelope",
    "type": "object",
    "description": "The facts of a winter. An answer may be sent back as it came: its other "
    "members are ignored.",
    "properties": {
        FACTS: {"$ref": "#/components/schemas/RecordedFacts"},
        **{name: {"readOnly": True} for name in READ_ONLY},
    },
    "required": [FACTS],
    "additionalProperties": False,
}
WINTER_REQUEST: dict[str, Any] = {
    "title": "WinterRequest",
    "description": "Any of the facts of a winter, bare or as `facts`.",
    "oneOf": [
        {"$ref": "#/components/schemas/RecordedFacts"},
        {"$ref": "#/components/schemas/WinterEnvelope"},
    ],
}


def winters_written_out(template: str) -> tuple[dict[str, Any], ...]:
    """Return the schemas of the facts of a winter, and of bodies around them."""
    facts = TypeAdapter(WinterFacts).json_schema(ref_template=template, mode="validation")
    return facts | {"title": "RecordedFacts"}, WINTER_ENVELOPE, WINTER_REQUEST


class PastWinter(Kept):
    """A winter as it was recorded."""

    season: str = Field(description="As 2026-27.")
    version: int = Field(description="From 1, one more with each change; in quotes it is the ETag.")
    system: str = Field(description="Key of the system that was used.")
    planned_revision: int = Field(description="Revision of the scenario that was the plan.")
    facts: dict[str, Any] = Field(
        description="As sent, but for system and planned revision, which stand beside them."
    )
    author: Author = Field(description="The key or link that recorded or changed it last.")
    created_at: datetime
    updated_at: datetime


class PastWinterList(Kept):
    """The recorded winters of a scenario, the oldest first; all on one page."""

    items: list[PastWinter]
    next: None


PAST_WINTER_ANSWERS: tuple[type[Kept], ...] = (PastWinter, PastWinterList)
