"""What a plan is made of."""

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from service.season.dates import Season

When = Literal["by", "on", "from"]
Part = Literal["decide", "grass", "hay", "building", "animals", "winter", "ground", "manure"]
Basis = Literal["engine", "not_estimated"]


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of what."""

    value: float
    unit: str
    of: str


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a date is this date."""

    words: str
    """One sentence: why then and not later."""
    rule: str
    """How the date follows from the scenario, as ``56 days before the grass is shut``."""
    anchor: str
    """Path of the input that moves it, as ``winter.first_day``."""
    source: str
    """A publication in words; empty where there is none."""
    mark: str
    """``seen``, ``from memory``, ``common practice, no source``, ``assumption``, ``given``."""


@dataclass(frozen=True, slots=True)
class WeekLate:
    """What it costs to be a week late."""

    cost: float | None
    """More in the mean of the winters [currency/year]; less than 0 where it saves."""
    basis: Basis
    words: str
    """One sentence: how it was worked, or why it was not."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do, with its day."""

    key: str
    title: str
    """What to do, as an order in a few words."""
    part: Part
    when: When
    day: date
    what: str
    how_much: tuple[Amount, ...]
    reason: Reason
    week_late: WeekLate
    cautions: tuple[str, ...] = ()
    """Keys of the system's cautions that belong to it."""
    last_day: date | None = None
    """Where it goes on for some days."""


@dataclass(frozen=True, slots=True)
class Material:
    """One thing to have at hand."""

    key: str
    title: str
    quantity: float
    unit: str
    price: float | None
    """Of one unit [currency]; None where neither scenario nor tables give one."""
    cost: float | None
    price_origin: Literal["quote", "given", "reference", "none"]
    quote_date: str | None
    for_what: str
    """Title of the structure or step that it is for."""
    needed_by: date | None
    practices: tuple[str, ...]
    """Open practice standards, as ``561 Heavy Use Area Protection``."""
    practice_source: str
    note: str
    """What the quantity was worked from, and its mark."""


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """How many bales should be left on a day."""

    key: str
    day: date
    bales_left: float
    words: str


@dataclass(frozen=True, slots=True)
class HayPlan:
    """Hay: what is needed, what to buy by when, and what should be left."""

    bales_needed: float
    bales_needed_worst: float
    bales_on_hand: float
    bales_to_buy: float
    bales_to_buy_worst: float
    tons_to_buy: float
    price_per_ton: float
    price_per_bale: float
    cost: float
    buy_by: date
    checkpoints: tuple[Checkpoint, ...]


@dataclass(frozen=True, slots=True)
class PlanCaution:
    """A caution of the system that a task speaks of."""

    caution: str
    rank: str
    sentence: str
    source: str
    where: str


@dataclass(frozen=True, slots=True)
class Plan:
    """A chosen system with dates."""

    system: str
    title: str
    currency: str
    season: Season
    tasks: tuple[Task, ...]
    """In the order of their days."""
    materials: tuple[Material, ...]
    hay: HayPlan | None
    """None where a system feeds no hay."""
    cautions: tuple[PlanCaution, ...]
    notes: tuple[str, ...] = field(default=())
    """What the plan leaves out, and what was assumed."""
