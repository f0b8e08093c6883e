"""Hay fed in a barn on a bedded pack."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry, Key
from service.costing.methods.step import Step


@dataclass(frozen=True, kw_only=True)
class BeddedPack(Step):
    """Animals kept under a roof on bedding that builds up."""

    __pydantic_config__ = STRICT
    structure_kinds: ClassVar[tuple[str, ...]] = ("pack_floor",)

    method: Literal["bedded_pack"] = "bedded_pack"
    structure: Annotated[Key, Entry("Barn", "Key of the pack floor among the structures.")]
