"""Hay fed on a gravel or concrete pad."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry, Key
from service.costing.methods.step import Step


@dataclass(frozen=True, kw_only=True)
class FeedingPad(Step):
    """Hay fed on a heavy-use pad, day and night or for some hours of the day."""

    __pydantic_config__ = STRICT
    structure_kinds: ClassVar[tuple[str, ...]] = ("gravel_pad", "concrete_pad")

    method: Literal["feeding_pad"] = "feeding_pad"
    structure: Annotated[Key, Entry("Pad", "Key of the pad among the system's structures.")]
