"""The numbers of the method, read from their table."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files
from typing import Any

MARKS = ("seen", "from memory", "own choice")
"""Where a number comes from: read in its source, recalled and unverified, or chosen here."""


@dataclass(frozen=True, slots=True)
class Numbers:
    """The numbers of the method; units and sources stand in the table."""

    snow_split_c: float
    melt_mm_per_degree_day: float
    snow_density: float
    snow_covered_cm: float
    frost_kept: float
    frost_depth_factor: float
    snow_shield_freezing: float
    snow_shield_thawing: float
    crust_index: float
    evaporable_mm: float
    readily_evaporable_mm: float
    lead_days: int
    longest_gap_days: int
    autumn_days: int
    dry_weeks: int
    few_winters: int
    enough_winters: int
    trend_significance: float


@dataclass(frozen=True, slots=True)
class Drainage:
    """How a class of soil holds water above field capacity and loses it."""

    wettest_mm: float
    """Deficit when saturated [mm]; 0 at field capacity, negative above."""
    drains_mm_per_day: float
    """Water lost downwards a day while above field capacity [mm/day]."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a setting may be."""

    least: float
    most: float
    unit: str


@dataclass(frozen=True, slots=True)
class Parameters:
    """The whole table: numbers and drainage classes to work with, and the rows as written."""

    numbers: Numbers
    drainage: Mapping[str, Drainage]
    limits: Mapping[str, Limits]
    presets: Mapping[str, Sequence[float]]
    """Values of a setting that have a meaning of their own."""
    rows: Mapping[str, Any]


@cache
def parameters() -> Parameters:
    """Read the table.

    Raises
    ------
    TypeError
        If it lacks a number or has one that nobody knows.
    """
    table = tomllib.loads(files("service.weather").joinpath("parameters.toml").read_text("utf-8"))
    settings = table["setting"]
    return Parameters(
        numbers=Numbers(**{name: row["value"] for name, row in table["number"].items()}),
        drainage={
            name: Drainage(**{field.name: row[field.name] for field in fields(Drainage)})
            for name, row in table["drainage"].items()
        },
        limits={
            name: Limits(row["least"], row["most"], row["unit"]) for name, row in settings.items()
        },
        presets={
            name: tuple(preset["value"] for preset in row["presets"])
            for name, row in settings.items()
        },
        rows=table,
    )
