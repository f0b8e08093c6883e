"""One winter as a record of daily weather tells it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class RecordedWinter:
    """Counts, spells, water and temperatures of one winter; by ground state where it says so."""

    season: str
    """The years that it lies in, as 2018-19; one year where the window does not cross New Year."""
    ground_days: Mapping[str, int]
    """Days of the window in each ground state [day]."""
    spells: Mapping[str, Sequence[int]]
    """Length of each spell of each ground state, in the order of time [day]."""
    rain_in: float | None
    """Rain and melt over the window [in]; None where precipitation is not known."""
    temperature_f: Mapping[str, float]
    """Mean air temperature on the days of each state that has any [°F]."""
    missing_days: int
    """Days of the window filled in from the days around them [day]."""
    observed_snow_days: int
    """Days of the window with an observed depth of snow [day]."""
    frozen_days: int
    """Days with frozen ground, under snow or not [day]."""
    deep_frozen_days: int
    """Those on which the frozen-ground index reached its threshold [day]."""
    autumn_rain_in: float | None
    """Precipitation of the 92 days before the window [in]; None where it is not known whole."""

    def as_row(self) -> dict[str, Any]:
        """Return the winter as a row of a scenario document."""
        row: dict[str, Any] = {
            "season": self.season,
            "ground_days": dict(self.ground_days),
            "effective_temperature_f": dict(self.temperature_f),
            "spells": {state: list(lengths) for state, lengths in self.spells.items() if lengths},
        }
        if self.rain_in is not None:
            row["rain_in"] = self.rain_in
        return row


@dataclass(frozen=True, slots=True)
class DroppedWinter:
    """A winter that the record touches and that is not counted, with the reason."""

    season: str
    reason: str
    """One sentence that names the first day that is missing and how many are."""


@dataclass(frozen=True, slots=True)
class WeatherWarning:
    """Something to know of a record before its winters are used."""

    warning: str
    """A short name in snake case."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Classified:
    """The winters of a record under some settings."""

    winters: Sequence[RecordedWinter]
    dropped: Sequence[DroppedWinter]
    warnings: Sequence[WeatherWarning]
