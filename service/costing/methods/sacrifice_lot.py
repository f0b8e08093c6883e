"""Feeding on one lot that is given up for the winter."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from service.costing.entry import STRICT
from service.costing.methods.step import Step


@dataclass(frozen=True, kw_only=True)
class SacrificeLot(Step):
    """Hay fed on a lot or paddock that is repaired in spring."""

    __pydantic_config__ = STRICT
    needs_field: ClassVar[bool] = True

    method: Literal["sacrifice_lot"] = "sacrifice_lot"
