"""Floors in the open: gravel and concrete pads, and mounds."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from service.costing.entry import STRICT
from service.costing.structures.structure import Area, ExistingArea, Structure


@dataclass(frozen=True, kw_only=True)
class GravelPad(Structure):
    """Rock over fabric for feeding on."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"
    is_floor: ClassVar[bool] = True
    catches_rain: ClassVar[bool] = True
    topped_up: ClassVar[bool] = True

    kind: Literal["gravel_pad"] = "gravel_pad"
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None


@dataclass(frozen=True, kw_only=True)
class ConcretePad(Structure):
    """Concrete for feeding on."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"
    is_floor: ClassVar[bool] = True
    catches_rain: ClassVar[bool] = True

    kind: Literal["concrete_pad"] = "concrete_pad"
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None


@dataclass(frozen=True, kw_only=True)
class Mound(Structure):
    """A raised dry place to lie."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"
    is_floor: ClassVar[bool] = True

    kind: Literal["mound"] = "mound"
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None
