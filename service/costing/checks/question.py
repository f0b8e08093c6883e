"""A scenario under examination: its systems, the reference values it takes, the names it knows."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from service.costing.checks.phrases import choice, short, some_of
from service.costing.errors import Fault, nearest
from service.costing.labor import NO_MACHINE, Task, names_by_owner, task_names
from service.costing.methods import Step
from service.costing.places import LAND, Floor, fed_on
from service.costing.plan import System, step_keys
from service.costing.reference.keys import grammar
from service.costing.reference.table import (
    NO_EDITION,
    Edition,
    editions,
    load_edition,
    newest_edition,
)
from service.costing.scenario import Scenario
from service.costing.structures import Structure
from service.costing.units import STATES
from service.costing.winter_rows import item_of_row, rows_of

MOST_SUGGESTIONS = 50
"""Looking for the nearest name takes time; a scenario gets none beyond these."""

LONGEST_TO_SUGGEST = 100


class Question:
    """A scenario with what its checks look up, worked when first asked for."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.edition_name = scenario.reference_edition or newest_edition()
        self.edition_is_known = self.edition_name in {NO_EDITION, *editions()}
        self.edition: Edition = load_edition(
            self.edition_name if self.edition_is_known else newest_edition()
        )
        self.sites = [Site(key, system) for key, system in scenario.systems.items()]
        self._suggestions_left = MOST_SUGGESTIONS
        self._tasks: dict[str, list[Task]] = {}
        self._names: dict[str, list[str]] = {}

    def value(self, key: str) -> float | str | None:
        """Return a reference value, the scenario's own or the edition's."""
        given = self.scenario.assumptions.get(key)
        if given is not None:
            return given
        row = self.edition.rows.get(key)
        return row.usual if row else None

    def tasks(self, owner: str) -> list[Task]:
        """Return the tasks of a method, a kind of structure or a water supply."""
        if owner not in self._tasks:
            self._tasks[owner] = [self._task(owner, name) for name in self.task_names(owner)]
        return self._tasks[owner]

    def _task(self, owner: str, name: str) -> Task:
        base = f"work.{owner}.{name}"
        machine = self.value(f"{base}.machine")
        return Task(
            owner,
            name,
            str(self.value(f"{base}.per")),
            machine if isinstance(machine, str) else NO_MACHINE,
        )

    def task_names(self, owner: str) -> list[str]:
        """Return the names of the tasks of an owner."""
        if owner not in self._names:
            published = task_names(self.edition).get(owner, ())
            own = self._own_task_names.get(owner, ())
            self._names[owner] = [*published, *(name for name in own if name not in published)]
        return self._names[owner]

    @cached_property
    def _own_task_names(self) -> dict[str, tuple[str, ...]]:
        return names_by_owner(self.scenario.assumptions)

    @cached_property
    def states_without_spells(self) -> frozenset[str]:
        """Ground states whose mean spell is not known in every winter."""
        winter = self.scenario.winter
        if winter.weather_record is not None:
            return frozenset()
        return frozenset(
            state
            for state in STATES
            if getattr(winter.spell_days, state) is None
            and any(item_of_row(row, "spell_days", state) is None for row in rows_of(winter))
        )

    @cached_property
    def has_spells(self) -> bool:
        """Whether the mean spell of any ground state is known in any winter."""
        winter = self.scenario.winter
        return any(
            getattr(winter.spell_days, state) is not None
            or any(item_of_row(row, "spell_days", state) is not None for row in rows_of(winter))
            for state in STATES
        )

    @property
    def presentations(self) -> tuple[str, ...]:
        """Ways in which hay can be put before animals."""
        return grammar().sets["presentation"]

    @property
    def may_suggest(self) -> bool:
        """Whether the nearest name is still looked for."""
        return self._suggestions_left > 0

    def near(self, word: str, known: Sequence[str]) -> str | None:
        """Return the known name that was most likely meant."""
        if not self.may_suggest or len(word) > LONGEST_TO_SUGGEST:
            return None
        self._suggestions_left -= 1
        return nearest(word, known)

    def unknown(self, path: str, what: str, word: str, known: Sequence[str]) -> Fault:
        """Return the fault of a name that nothing has."""
        near = self.near(word, known)
        hint = f"; did you mean {near}?" if near else "."
        there_are = f" Known: {some_of(known)}." if known else f" No {what} is given."
        return Fault(
            path,
            f"There is no {what} called {short(word)!r}{hint}{there_are}",
            received=word,
            allowed=choice(known),
            suggestion=near,
        )


@dataclass(frozen=True)
class Site:
    """One system, with its steps by key and its floors."""

    key: str
    system: System

    def path(self, *names: str) -> str:
        """Return the input path of something in the system."""
        return ".".join(("systems", self.key, *names))

    @cached_property
    def steps(self) -> list[tuple[str, Step]]:
        """The steps with their keys, in order; a key may stand twice."""
        return list(zip(step_keys(self.system.plan), self.system.plan, strict=True))

    @cached_property
    def floors(self) -> dict[str, Floor]:
        """The floors by key."""
        return self.system.floors

    @cached_property
    def _places(self) -> set[str | None]:
        """What the steps name to feed on or rest on."""
        return {place for _, step in self.steps for place in (fed_on(step), step.resting_place)}

    @cached_property
    def used_floors(self) -> frozenset[str]:
        """Keys of the floors that a step feeds or rests on."""
        return frozenset(key for key in self.floors if key in self._places)

    @property
    def knows_its_places(self) -> bool:
        """Whether every place that a step names is there; if not, a floor may only seem unused."""
        return all(place is None or place in LAND or place in self.floors for place in self._places)

    @cached_property
    def open_pads(self) -> dict[str, Structure]:
        """The floors that rain falls on and runs off, by key."""
        return {
            key: floor.structure
            for key, floor in self.floors.items()
            if floor.structure.catches_rain and not floor.roofed
        }
