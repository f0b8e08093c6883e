"""The systems that plans are made from: whose plan is searched, and which steps may be taken."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, reduce
from typing import Any, TypeVar

from service.analysis.subject import Subject
from service.costing.json_shapes import is_object
from service.costing.methods import Step
from service.costing.places import LAND, fed_on
from service.costing.plan import System
from service.costing.scenario import Scenario
from service.costing.units import HOURS_PER_DAY, STATES
from service.costing.winter_rows import rows_of

Document = dict[str, Any]
T = TypeVar("T")


@dataclass(frozen=True)
class Found:
    """One step as it stands in a system of the scenario."""

    source: "Source"
    key: str
    step: Step
    document: Document

    @property
    def sort(self) -> tuple[str, str | None, str | None]:
        """Method, field and kind of floor: steps alike in these are one way of feeding."""
        floor = fed_on(self.step)
        kind = self.source.system.structures[floor].kind if floor else None
        return self.step.method, self.step.field, kind

    @property
    def rests_on(self) -> str | None:
        """Key of the floor that the animals rest on, if any."""
        place = self.step.resting_place
        if place is None or place in LAND or self.step.hours_on_method >= HOURS_PER_DAY:
            return None
        return place

    @property
    def words(self) -> list[str]:
        """The ways in which hay is put before the animals."""
        return words_of(self.step.presentation)


@dataclass(frozen=True)
class Source:
    """One system of the scenario, declared and as a document."""

    key: str
    system: System
    document: Document

    @property
    def structures(self) -> Document:
        """What it builds, by key, as documents."""
        return self.document.get("structures") or {}

    @cached_property
    def steps(self) -> list[Found]:
        """All its steps."""
        return [
            Found(self, key, step, document)
            for (key, step), document in zip(
                self.system.steps.items(), self.document["plan"], strict=True
            )
        ]

    def roof_over(self, floor: str) -> str | None:
        """Return the key of the roof over a floor."""
        for key, structure in self.system.structures.items():
            if structure.kind == "roof" and structure.setting("over") == floor:
                return key
        return None

    def kinds(self) -> set[str]:
        """Return the kinds of its structures."""
        return {structure.kind for structure in self.system.structures.values()}


@dataclass(frozen=True)
class Sources:
    """All systems, the one to start from first, and the animals whose plan is searched."""

    scenario: Scenario
    sources: list[Source]
    groups: tuple[str, ...]
    heaviest: str

    @property
    def start(self) -> Source:
        """The system to start from."""
        return self.sources[0]

    @property
    def is_whole_herd(self) -> bool:
        """Whether the plan searched is that of all animals."""
        return set(self.groups) == set(self.scenario.herd)

    @cached_property
    def kept(self) -> list[Found]:
        """Steps of other groups, which stay as they are."""
        return [found for found in self.start.steps if not self._feeds(found.step, self.groups)]

    def steps_of(self, source: Source) -> list[Found]:
        """Return the steps of a system that feed the heaviest group."""
        return [found for found in source.steps if self._feeds(found.step, (self.heaviest,))]

    @cached_property
    def steps(self) -> list[Found]:
        """The steps that plans may take, of the system to start from first."""
        return [found for source in self.sources for found in self.steps_of(source)]

    @cached_property
    def states(self) -> frozenset[str]:
        """The ground states that come in any winter."""
        return frozenset(
            state
            for state in STATES
            if any(
                (getattr(row.ground_days, state) or 0) > 0 for row in rows_of(self.scenario.winter)
            )
        )

    def _feeds(self, step: Step, groups: tuple[str, ...]) -> bool:
        return step.groups is None or bool(set(step.groups) & set(groups))


def words_of(presentation: Any) -> list[str]:  # noqa: ANN401 - a word, words by group, or nothing
    """Return the ways of feeding that a presentation names, each once."""
    if is_object(presentation):
        return list(dict.fromkeys(presentation.values()))
    return [] if presentation is None else [presentation]


def in_all(several: Iterable[set[T]]) -> set[T]:
    """Return what all of some sets have, of which there is at least one."""
    return reduce(lambda one, other: one & other, several)


def sources_of(subject: Subject, start_from: str) -> Sources:
    """Return the systems of a scenario that plans are made from."""
    scenario = subject.scenario
    documents: Mapping[str, Document] = subject.document["systems"]
    order = [start_from, *(key for key in scenario.systems if key != start_from)]
    sources = [Source(key, scenario.systems[key], documents[key]) for key in order]
    heaviest = _heaviest(scenario, sources[0].system)
    groups = _fed_together(scenario, sources[0].system, heaviest)
    return Sources(scenario, sources, groups, heaviest)


def _heaviest(scenario: Scenario, system: System) -> str:
    def weight(key: str) -> float:
        change = system.herd_change.get(key)
        head = scenario.herd[key].head + (change.head if change else 0.0)
        return head * scenario.herd[key].body_weight_lb

    return max(scenario.herd, key=weight)


def _fed_together(scenario: Scenario, system: System, heaviest: str) -> tuple[str, ...]:
    """Return the groups that share steps with the heaviest, and with those, in the herd's order."""
    together = {heaviest}
    before: set[str] = set()
    while together != before:
        before = set(together)
        for groups in _groups_of_steps(scenario, system):
            if groups & together:
                together |= groups
    return tuple(key for key in scenario.herd if key in together)


def _groups_of_steps(scenario: Scenario, system: System) -> Iterator[set[str]]:
    for step in system.plan:
        yield set(scenario.herd if step.groups is None else step.groups)
