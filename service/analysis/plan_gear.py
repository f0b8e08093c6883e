"""Which structures go with which step, so that no plan has the use of one and not its cost.

A scenario does not say for which step a structure is there. Floors and roofs are named by the
steps themselves. Feeders go with the way in which hay is put before animals, and hay storage with
where a system keeps hay. What else a system has goes with its steps, but for what all systems have
and for what plainly belongs to another step: what every system with that other step has, and not
every system with this one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from service.analysis.plan_sources import Document, Found, Source, Sources, in_all
from service.costing.places import fed_on

FEEDER, STORAGE, MOUND, ROOF = "feeder", "hay_storage", "mound", "roof"

WEIGHED = (STORAGE, MOUND, ROOF)
"""Kinds whose use the costing sees, so that a plan with one can be held against one without: hay
lost, mud and cold, rain on a floor. Feeders come and go with the presentation. The use of a fence
or a pipe is not costed; a search that left it out would only find that it costs money."""

FOR_FLOORS = frozenset({"manure_storage", "treatment_strip"})
"""Kinds that take what comes off floors, and are of no use to steps on land."""

WITHOUT_FEEDER = frozenset(
    {"bales_in_place", "no_feeder", "unrolled_daily", "unrolled_several_days"}
)
"""Ways of feeding that need nothing bought; by the words' meaning."""


@dataclass(frozen=True)
class Gear:
    """What goes with what, read off the systems of a scenario."""

    sources: Sources

    @cached_property
    def common(self) -> set[tuple[str, str]]:
        """Key and kind of what every system has."""
        return in_all(_known(source) for source in self.sources.sources)

    @cached_property
    def base(self) -> Document:
        """What every plan has: what all systems have, and the floors of steps that are kept."""
        start = self.sources.start
        kept = set(self._floors(self.sources.kept))
        searched = set(self._floors(self.sources.steps_of(start))) - kept
        base: Document = {}
        for key, document in start.structures.items():
            kind = document["kind"]
            stays = kind not in WEIGHED and (key, kind) in self.common and key not in searched
            if kind == FEEDER:
                stays = self._is_common_feeder(key, document) or self._of_no_presentation(key)
            if stays or key in kept:
                base[key] = document
        return base

    def with_step(self, found: Found) -> Document:
        """Return what comes with a step, but for its floors and its feeders."""
        source, method = found.source, found.step.method
        floors = set(self._floors(source.steps))
        apart = {*WEIGHED, FEEDER}
        if not set(self._floors([found])):
            apart |= FOR_FLOORS
        others = {step.step.method for step in self.sources.steps_of(source)} - {method}
        own = self._needed(method)
        foreign = set[tuple[str, str]]().union(*[self._needed(other) for other in others]) - own
        return {
            key: document
            for key, document in source.structures.items()
            if document["kind"] not in apart
            and key not in floors
            and (key, document["kind"]) not in self.common | foreign
        }

    @cached_property
    def lists_feeders(self) -> bool:
        """Whether any system has feeders."""
        return any(FEEDER in source.kinds() for source in self.sources.sources)

    @cached_property
    def feeders_differ(self) -> bool:
        """Whether any system has feeders that another has not."""
        return any(
            document["kind"] == FEEDER and not self._is_common_feeder(key, document)
            for source in self.sources.sources
            for key, document in source.structures.items()
        )

    def feeders(self, word: str) -> Document:
        """Return the feeders that go with a presentation, as the first system that has it."""
        users = [source for source in self.sources.sources if word in self._words(source)]
        if word in WITHOUT_FEEDER or not users:
            return {}
        return {
            key: document
            for key, document in users[0].structures.items()
            if document["kind"] == FEEDER
            and not self._is_common_feeder(key, document)
            and all((key, FEEDER) in _known(source) for source in users)
        }

    def ways_of_keeping_hay(self, *, optional: bool, bare: bool) -> list[tuple[Document, Document]]:
        """Return members of a system and structures, for each way in which hay may be kept.

        Parameters
        ----------
        optional : bool
            Whether other ways than that of the system to start from are looked at.
        bare : bool
            Whether hay may be kept where the farm keeps it now even if no system does so.
        """
        ways: dict[tuple[str | None, bool], tuple[Document, Document]] = {}
        for source in self.sources.sources if optional else [self.sources.start]:
            where = source.document.get(STORAGE)
            built = {
                key: document
                for key, document in source.structures.items()
                if document["kind"] == STORAGE
            }
            member = {} if where is None else {STORAGE: where}
            ways.setdefault((where, bool(built)), (member, built))
        if bare:
            ways.setdefault((None, False), ({}, {}))
        return list(ways.values())

    def _of_no_presentation(self, key: str) -> bool:
        """Whether feeders of the system to start from are used by steps that are kept alone."""
        searched = self._words(self.sources.start)
        kept = {word for found in self.sources.kept for word in found.words} - WITHOUT_FEEDER
        return bool(kept) and not any(key in self.feeders(word) for word in searched)

    def _words(self, source: Source) -> list[str]:
        return [word for found in self.sources.steps_of(source) for word in found.words]

    def _needed(self, method: str) -> set[tuple[str, str]]:
        """Return what every system with a step of the method has."""
        users = [
            source
            for source in self.sources.sources
            if any(found.step.method == method for found in self.sources.steps_of(source))
        ]
        return in_all(_known(source) for source in users) if users else set()

    def _is_common_feeder(self, key: str, document: Document) -> bool:
        """Whether every system has the same feeders, down to their price."""
        return all(source.structures.get(key) == document for source in self.sources.sources)

    @staticmethod
    def _floors(steps: list[Found]) -> Iterator[str]:
        """Yield the floors that steps feed or rest on, and the roofs over them."""
        for found in steps:
            for floor in (fed_on(found.step), found.rests_on):
                if floor is not None:
                    yield floor
                    if (roof := found.source.roof_over(floor)) is not None:
                        yield roof


def _known(source: Source) -> set[tuple[str, str]]:
    return {(key, document["kind"]) for key, document in source.structures.items()}
