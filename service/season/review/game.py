"""A system with each of weather, prices and practice as planned or as it was: eight costings."""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from service.costing.errors import InputError
from service.costing.lines import LINES
from service.costing.scenario import Scenario
from service.costing.units import Array
from service.season.as_it_was import (
    KNOWN_GROUND,
    PlannedWinter,
    WeatherFrom,
    as_it_was,
    weather_known,
)
from service.season.facts import WinterFacts
from service.season.replayed import Replayed, replay

LINE_KEYS = tuple(LINES)
AS_BUILT = ("structures", "cost_share", "structure_upkeep")
"""Lines of what is built, which follows no single winter."""

Corner = tuple[bool, bool, bool]
"""Whether weather, prices and practice are as they were."""


@dataclass(frozen=True)
class Game:
    """One system in one winter, as planned and as it was."""

    planned: PlannedWinter
    facts: WinterFacts
    weather_from: WeatherFrom
    days_held: bool
    """Whether the days written down for each step could be held to."""
    corners: dict[Corner, Replayed]

    def at(self, *, weather: bool, price: bool, practice: bool) -> Replayed:
        """Return the costing with each of the three as it was, or as planned."""
        return self.corners[weather, price, practice]

    @property
    def plan(self) -> Replayed:
        """All as planned."""
        return self.corners[False, False, False]

    @property
    def such_a_winter(self) -> Replayed:
        """Such a winter, fed in as planned."""
        return self.corners[True, False, False]

    @property
    def as_it_was(self) -> Replayed:
        """All as it was, but for what was written down of quantities."""
        return self.corners[True, True, True]

    @property
    def ground_known(self) -> bool:
        """Whether the ground of the winter is known day by day."""
        return self.weather_from in KNOWN_GROUND

    @cached_property
    def lines(self) -> Array:
        """Money of each line at each corner, shape (2, 2, 2, lines) [currency/year]."""
        worth = np.zeros((2, 2, 2, len(LINE_KEYS)))
        for corner, played in self.corners.items():
            worth[tuple(map(int, corner))] = played.lines
        built = [LINE_KEYS.index(line) for line in AS_BUILT]
        worth[..., built] = self.plan.lines[built]
        return worth


def play(planned: PlannedWinter, facts: WinterFacts) -> Game:
    """Cost a system at the eight corners.

    The days of the steps are let go where the plan, held to them, would not feed every animal.

    Raises
    ------
    InputError
        If the plan does not serve every day of the winter as it was.
    """
    try:
        corners, days_held = _corners(planned, facts), True
    except InputError:
        if not facts.days_by_method:
            raise
        corners, days_held = _corners(planned, replace(facts, days_by_method={})), False
    known = weather_known(planned, facts)
    return Game(planned, facts, weather_from=known, days_held=days_held, corners=corners)


def _corners(planned: PlannedWinter, facts: WinterFacts) -> dict[Corner, Replayed]:
    corners: dict[Corner, Replayed] = {}
    for weather, price, practice in product((False, True), repeat=3):
        scenario = as_it_was(planned, facts, weather=weather, price=price, practice=practice)
        corners[weather, price, practice] = _same(corners, scenario) or replay(
            scenario, planned.key
        )
    return corners


def _same(corners: dict[Corner, Replayed], scenario: Scenario) -> Replayed | None:
    """Return what the same scenario gave at an earlier corner."""
    return next((found for found in corners.values() if found.scenario == scenario), None)
