"""What a plan, a review, own figures and a screening are, for the description of the interface.

They are answered as the dataclasses of the season have it, member for member.
"""

from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter

from service.season.own_figures.records import OwnFigures
from service.season.plan.records import Plan
from service.season.review.records import Review
from service.season.site.records import SiteScreening

SEASON_ANSWERS: Mapping[str, type] = {
    "Plan": Plan,
    "WinterReview": Review,
    "OwnFigures": OwnFigures,
    "SiteScreening": SiteScreening,
}
"""By the name in the description."""

WHOSE: Mapping[str, Any] = {
    "scenario": {"type": "string", "title": "Scenario", "description": "Id of the scenario."},
    "revision": {
        "type": "integer",
        "title": "Revision",
        "description": "Revision that was costed, or that was the plan.",
    },
}
"""What stands before the members of each."""


def season_schema(kind: type, template: str) -> dict[str, Any]:
    """Return the schema of an answer, with what stands before its members."""
    found = TypeAdapter(kind).json_schema(ref_template=template, mode="serialization")
    return {**found, "properties": {**WHOSE, **found["properties"]}}
