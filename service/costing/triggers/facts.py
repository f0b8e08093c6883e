"""What the triggers ask of a costed system."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.costing.averages import by_group, largest, winters_of
from service.costing.builder import Built
from service.costing.caution_table import Caution
from service.costing.engine import Costing, SystemCosting
from service.costing.farm import Field
from service.costing.figure import Figure
from service.costing.formulas.stages import days_between
from service.costing.places import feeding_field
from service.costing.run import StepRun
from service.costing.scenario import Scenario
from service.costing.units import DAYS_PER_YEAR, STAGES, STATES
from service.costing.wording import listed, named, spoken

SHEEP = frozenset({"ewe", "growing_lamb", "ram"})
CATTLE = frozenset({"beef_cow", "bred_heifer", "growing_heifer", "growing_calf", "bull"})

STORES = {
    "ground_uncovered": "on the ground without a cover",
    "gravel_uncovered": "on gravel without a cover",
    "ground_covered": "on the ground under a cover",
    "raised_covered": "off the ground under a cover",
    "barn": "in a barn",
    "wrapped": "wrapped",
}

Words = dict[str, str]
"""What stands in the braces of a trigger; None from a trigger is no caution."""


@dataclass(frozen=True)
class Facts:
    """One system of a costing, as the triggers look at it; what many ask is worked once."""

    costing: Costing
    system: SystemCosting

    @property
    def scenario(self) -> Scenario:
        """The question."""
        return self.costing.case.scenario

    @cached_property
    def steps(self) -> list[StepRun]:
        """The steps that serve anything in any winter."""
        return [step for step in self.system.run.steps if step.served.value.any()]

    @cached_property
    def hay_steps(self) -> list[StepRun]:
        """Those of them that feed hay."""
        return [step for step in self.steps if step.waste is not None]

    @cached_property
    def groups(self) -> list[str]:
        """The groups that the system keeps."""
        head = self.system.run.head.value
        return [group for i, group in enumerate(self.costing.herd.groups) if head[i, 0, 0, 0] > 0]

    @property
    def storage(self) -> str:
        """Where the system keeps its hay."""
        return self.system.run.system.hay_storage or self.scenario.hay.storage

    def of_animals(self, animals: Iterable[str]) -> list[str]:
        """Return the groups of some classes of animal."""
        return [group for group in self.groups if self.scenario.herd[group].animal in animals]

    def served(self, step: StepRun, group: str) -> bool:
        """Whether a step serves a group in any winter."""
        return bool(step.served.value[self.costing.herd.groups.index(group)].any())

    def field(self, key: str) -> Field:
        """Return a field of the farm."""
        return self.scenario.land.fields[key]

    def fields_used(self, steps: Iterable[StepRun]) -> list[str]:
        """Return the fields on which steps feed or rest animals."""
        used: dict[str, None] = {}
        for step in steps:
            rests = self.system.run.system.structures.get(step.step.resting_place or "")
            for key in (
                feeding_field(step.step, self.system.run.system),
                step.step.resting_field,
                rests.field if rests else None,
            ):
                if key is not None:
                    used[key] = None
        return list(used)

    @cached_property
    def hay_fields(self) -> list[str]:
        """The fields to which hay is taken."""
        fields = [feeding_field(step.step, self.system.run.system) for step in self.hay_steps]
        return list(dict.fromkeys(key for key in fields if key is not None))

    def structures(self, kinds: Iterable[str], *, new: bool = False) -> list[Built]:
        """Return the structures of some kinds, if wanted only those with something to build."""
        return [
            item
            for item in self.system.construction.built
            if item.structure.kind in kinds and (not new or is_new(item))
        ]

    def births_in_winter(self, group: str) -> bool:
        """Whether any birth of a group falls on a day of winter feeding."""
        animals = self.scenario.herd[group]
        winter = self.scenario.winter
        if animals.birth_starts is None:
            return False
        length = days_between(winter.first_day, winter.last_day)
        first = days_between(winter.first_day, animals.birth_starts)
        season = int(animals.birth_season_days or 1)
        return first <= length or first + season > DAYS_PER_YEAR

    def in_milk(self, group: str) -> bool:
        """Whether a group has young at foot on any day of winter feeding."""
        herd = self.costing.herd
        stages = herd.stages(*herd.winter_days()).value
        return bool(stages[STAGES.index("lactation"), herd.groups.index(group), 0, 0, 0] > 0)

    def most_days(self, *states: str) -> float:
        """Return the most days of any winter in some ground states."""
        days = self.costing.winters.days.value
        chosen = sum(days[STATES.index(state)] for state in states)
        return largest(self.costing.winters, Figure(chosen, "day"))

    def dry_autumns(self, low_growth: float) -> list[str]:
        """Return the winters whose autumn grew less than a share of the usual."""
        growth = winters_of(self.costing.winters, self.costing.winters.growth_factor)
        seasons = self.costing.winters.seasons
        factors = np.broadcast_to(growth, (*growth.shape[:-1], len(seasons)))
        lowest = factors.reshape(-1, len(seasons)).min(axis=0)
        return [seasons[i] for i in np.flatnonzero(lowest < low_growth)]

    @cached_property
    def machine_hours(self) -> float:
        """The most machine hours of any winter."""
        labor = self.system.labor
        return largest(self.costing.winters, labor.machine_hours) if labor else 0.0

    @cached_property
    def days_in_mud(self) -> dict[str, float]:
        """Days in mud of each group in a mean winter."""
        costing = self.costing
        return by_group(costing.winters, self.system.animals.in_mud, costing.herd.groups)

    def group_names(self, groups: Iterable[str]) -> str:
        """Return groups in words."""
        return listed(named(self.scenario.herd[group].title, group) for group in groups)

    def field_names(self, fields: Iterable[str]) -> str:
        """Return fields in words."""
        return listed(named(self.field(key).title, key) for key in fields)

    def step_names(self, steps: Iterable[StepRun]) -> str:
        """Return steps in words."""
        return listed(spoken(step.key) for step in steps)


Trigger = Callable[[Facts, Caution], Words | None]


def is_new(item: Built) -> bool:
    """Whether a structure, or an addition to it, is still to be built."""
    structure = item.structure
    stands = structure.existing or structure.existing_size is not None
    return item.existing is not None or not stands


def structure_names(items: Iterable[Built]) -> str:
    """Return structures in words."""
    return listed(named(item.structure.title, item.key) for item in items)
