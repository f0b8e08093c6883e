"""Roofed floors and the roofs over others."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry, Key
from service.costing.structures.structure import Area, ExistingArea, Structure


@dataclass(frozen=True, kw_only=True)
class PackFloor(Structure):
    """A barn with a bedded pack."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"
    is_floor: ClassVar[bool] = True
    always_roofed: ClassVar[bool] = True

    kind: Literal["pack_floor"] = "pack_floor"
    composted: Annotated[
        bool,
        Entry("Composted", "The pack is turned and composted before it is spread."),
    ] = False
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None


@dataclass(frozen=True, kw_only=True)
class Roof(Structure):
    """A roof over another floor."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"

    kind: Literal["roof"] = "roof"
    over: Annotated[Key, Entry("Over", "Key of the floor it covers.")]
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None
