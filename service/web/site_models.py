"""What the catalogue of places answers."""

from datetime import date
from typing import Literal

from pydantic import Field

from service.web.catalog_items import Item


class SetbackItem(Item):
    """A distance that a place asks to be kept, as it was read."""

    key: str
    place: str
    place_title: str
    activity: Literal["feeding", "stack", "storage", "spreading", "fence"]
    from_what: str
    kind: Literal["water", "well", "sinkhole", "some_water", "other"] = Field(
        description="Any water, wells or sinkholes alone, some special water, or what no scenario "
        "gives a distance to."
    )
    distance_ft: float
    lots_only: bool = Field(description="Speaks of lots and floors, not of grazed land.")
    conditions: str
    slope_limit_percent: float | None
    source: str
    where: str
    date: str = Field(description="Of what was read, in words.")
    mark: Literal["seen", "from memory"]


class PlaceItem(Item):
    """One place with its setbacks."""

    place: str = Field(description="Key; goes into land.place of a scenario.")
    title: str
    ask: str = Field(description="Whom to ask there.")
    setbacks: list[SetbackItem]


class PlaceList(Item):
    """All places of which setbacks are known; none is a rule of everywhere."""

    read_on: date = Field(description="Day on which the table was put together.")
    disclaimer: str
    items: list[PlaceItem]
