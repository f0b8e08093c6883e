"""Fence, lanes, feeders and what else is bought."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry
from service.costing.structures.structure import Structure


@dataclass(frozen=True, kw_only=True)
class Fence(Structure):
    """Fence, fixed or portable."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "length_ft"
    size_unit: ClassVar[str] = "ft"

    kind: Literal["fence"] = "fence"
    length_ft: Annotated[float, Entry("Length", "How long.", "ft", ge=1, le=1e7)] | None = None
    existing_length_ft: (
        Annotated[float, Entry("Length there now", "How long.", "ft", ge=1, le=1e7)] | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class AccessLane(Structure):
    """A lane that carries tractor and herd."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "length_ft"
    size_unit: ClassVar[str] = "ft"

    kind: Literal["access_lane"] = "access_lane"
    length_ft: Annotated[float, Entry("Length", "How long.", "ft", ge=1, le=1e7)] | None = None
    existing_length_ft: (
        Annotated[float, Entry("Length there now", "How long.", "ft", ge=1, le=1e7)] | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class Feeder(Structure):
    """Ring feeders, racks or bunks."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "count"
    size_unit: ClassVar[str] = "piece"

    kind: Literal["feeder"] = "feeder"
    count: (
        Annotated[float, Entry("Count", "How many.", "piece", ge=1, le=1e7, whole=True)] | None
    ) = None
    existing_count: (
        Annotated[
            float,
            Entry("Count there now", "How many.", "piece", ge=1, le=1e7, whole=True),
        ]
        | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class Equipment(Structure):
    """Anything else bought to last, at its price."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "count"
    size_unit: ClassVar[str] = "piece"

    kind: Literal["equipment"] = "equipment"
    count: (
        Annotated[float, Entry("Count", "How many.", "piece", ge=1, le=1e7, whole=True)] | None
    ) = None
    existing_count: (
        Annotated[
            float,
            Entry("Count there now", "How many.", "piece", ge=1, le=1e7, whole=True),
        ]
        | None
    ) = None
