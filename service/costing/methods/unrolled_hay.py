"""Hay unrolled on grass, on fresh ground each day."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from service.costing.entry import STRICT
from service.costing.methods.step import Step


@dataclass(frozen=True, kw_only=True)
class UnrolledHay(Step):
    """Hay rolled out in a strip on grass."""

    __pydantic_config__ = STRICT
    needs_field: ClassVar[bool] = True

    method: Literal["unrolled_hay"] = "unrolled_hay"
