"""Stores for hay and manure, and the grass strip that cleans runoff."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry
from service.costing.structures.structure import Area, ExistingArea, Structure


@dataclass(frozen=True, kw_only=True)
class HayStorage(Structure):
    """A floor or shed for hay."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"

    kind: Literal["hay_storage"] = "hay_storage"
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None


@dataclass(frozen=True, kw_only=True)
class ManureStorage(Structure):
    """A place to keep manure until it can be spread."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "volume_cuft"
    size_unit: ClassVar[str] = "cu ft"

    kind: Literal["manure_storage"] = "manure_storage"
    storage_days: Annotated[
        float,
        Entry("Storage days", "Days of winter that it must hold.", "day", ge=1, le=365),
    ]
    volume_cuft: (
        Annotated[float, Entry("Volume", "Manure that it holds.", "cu ft", ge=1, le=1e7)] | None
    ) = None
    existing_volume_cuft: (
        Annotated[
            float,
            Entry("Volume there now", "Manure that it holds.", "cu ft", ge=1, le=1e7),
        ]
        | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class TreatmentStrip(Structure):
    """Grass below a lot or pad that takes its runoff."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "area_sqft"
    size_unit: ClassVar[str] = "sq ft"

    kind: Literal["treatment_strip"] = "treatment_strip"
    area_sqft: Area | None = None
    existing_area_sqft: ExistingArea | None = None
