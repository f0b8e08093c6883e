"""Water: waterers, pipe and pumps."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry
from service.costing.structures.structure import Structure


@dataclass(frozen=True, kw_only=True)
class Waterer(Structure):
    """Drinkers that do not freeze."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "count"
    size_unit: ClassVar[str] = "piece"

    kind: Literal["waterer"] = "waterer"
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
class Pipeline(Structure):
    """Buried pipe."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "length_ft"
    size_unit: ClassVar[str] = "ft"

    kind: Literal["pipeline"] = "pipeline"
    length_ft: Annotated[float, Entry("Length", "How long.", "ft", ge=1, le=1e7)] | None = None
    existing_length_ft: (
        Annotated[float, Entry("Length there now", "How long.", "ft", ge=1, le=1e7)] | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class Pump(Structure):
    """A pump."""

    __pydantic_config__ = STRICT
    size_field: ClassVar[str] = "count"
    size_unit: ClassVar[str] = "piece"

    kind: Literal["pump"] = "pump"
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
