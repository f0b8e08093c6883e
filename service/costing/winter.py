"""The winter in the question: when it is, and what the ground was like on its days."""

from dataclasses import dataclass, field
from typing import Annotated

from service.costing.entry import STRICT, Entry, MonthDay

StateDays = Annotated[float, Entry("Days", "Days of the winter.", "day", ge=0, le=365)]
Temperature = Annotated[
    float, Entry("Effective temperature", "Mean with wind in it.", "°F", ge=-80, le=120)
]
Spell = Annotated[float, Entry("Spell", "Mean length of a spell.", "day", ge=1, le=365)]
Lengths = Annotated[list[Spell], Entry("Spells", "Length of each spell.", "day", ge=1, le=365)]
Rain = Annotated[float, Entry("Rain and melt", "Over the winter.", "in", ge=0, le=200)]
Factor = Annotated[float, Entry("Factor", "1 is the usual.", "fraction", ge=0, le=10)]


@dataclass(frozen=True, kw_only=True)
class GroundDays:
    """Days of one winter in each ground state."""

    __pydantic_config__ = STRICT

    frozen: StateDays = 0.0
    snow_covered: StateDays = 0.0
    firm: StateDays = 0.0
    wet: StateDays = 0.0


@dataclass(frozen=True, kw_only=True)
class ByState:
    """A figure for each ground state, where it is known."""

    __pydantic_config__ = STRICT

    frozen: Temperature | None = None
    snow_covered: Temperature | None = None
    firm: Temperature | None = None
    wet: Temperature | None = None


@dataclass(frozen=True, kw_only=True)
class SpellDays:
    """Mean length of a spell of each ground state, where it is known."""

    __pydantic_config__ = STRICT

    frozen: Spell | None = None
    snow_covered: Spell | None = None
    firm: Spell | None = None
    wet: Spell | None = None


@dataclass(frozen=True, kw_only=True)
class Spells:
    """Length of every spell of each ground state, where a record of daily weather tells it."""

    __pydantic_config__ = STRICT

    frozen: Lengths = field(default_factory=list)
    snow_covered: Lengths = field(default_factory=list)
    firm: Lengths = field(default_factory=list)
    wet: Lengths = field(default_factory=list)

    @property
    def known(self) -> bool:
        """Whether there is any."""
        return bool(self.frozen or self.snow_covered or self.firm or self.wet)


@dataclass(frozen=True, kw_only=True)
class WinterRow:
    """One recorded or supposed winter."""

    __pydantic_config__ = STRICT

    ground_days: GroundDays
    season: (
        Annotated[str, Entry("Season", "Name of the winter, as 2024-25.", longest=200)] | None
    ) = None
    weight: Annotated[
        float, Entry("Weight", "How much this winter counts.", "none", ge=0.000001, le=1e6)
    ] = 1.0
    stockpile_growth_factor: Factor | None = None
    hay_price_factor: Factor | None = None
    rain_in: Rain | None = None
    effective_temperature_f: ByState = field(default_factory=ByState)
    spell_days: SpellDays = field(default_factory=SpellDays)
    spells: Spells = field(default_factory=Spells)


@dataclass(frozen=True, kw_only=True)
class Winter:
    """Winter as one row of days, or as rows; what a row does not give is taken from here."""

    __pydantic_config__ = STRICT

    first_day: Annotated[MonthDay, Entry("First day", "First day of winter feeding.")]
    last_day: Annotated[MonthDay, Entry("Last day", "Last day of winter feeding.")]
    ground_days: GroundDays | None = None
    weather_record: (
        Annotated[
            str,
            Entry(
                "Weather record",
                "Id of a stored record of daily weather, in the place of rows.",
                longest=40,
            ),
        ]
        | None
    ) = None
    weather_classifier: (
        Annotated[
            str,
            Entry(
                "Weather classifier",
                "Classification of the record; the newest when the scenario is stored.",
                longest=40,
            ),
        ]
        | None
    ) = None
    rows: list[WinterRow] = field(default_factory=list)
    stockpile_growth_factor: Factor = 1.0
    hay_price_factor: Factor = 1.0
    rain_in: Rain | None = None
    effective_temperature_f: ByState = field(default_factory=ByState)
    spell_days: SpellDays = field(default_factory=SpellDays)
