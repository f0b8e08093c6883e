"""Plans within limits: which orders, grounds, limits and structures feed the herd for least."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from service.analysis.plan_answer import Answer
from service.analysis.plan_documents import Writer
from service.analysis.plan_faults import (
    MOST_ORDERS,
    fault_of_many,
    fault_of_nothing,
    faults_of_question,
    faults_of_sources,
    limits_of,
)
from service.analysis.plan_gear import STORAGE, WEIGHED, Gear
from service.analysis.plan_runs import Runner, Shape
from service.analysis.plan_sources import Document, Sources, in_all, sources_of
from service.analysis.plan_space import Space
from service.analysis.plan_steps import Kitchen
from service.analysis.plan_tally import Counter, Tally
from service.analysis.questions import PlansWithinLimits
from service.analysis.subject import Subject
from service.analysis.work import Work
from service.costing.errors import InputError
from service.costing.structures import KINDS

PLANS_PER_PART = 400
"""About a second of work."""

Numbers = NDArray[np.int64]


@dataclass(frozen=True)
class PlanSearch:
    """A search on its way to its answer."""

    subject: Subject
    question: PlansWithinLimits
    sources: Sources
    gear: Gear
    space: Space

    @property
    def total(self) -> int:
        """Parts that it has."""
        return len(self._bounds) - 1

    def part(self, number: int) -> bytes:
        """Cost the plans of one part."""
        first, last = self._bounds[number], self._bounds[number + 1]
        layouts, taken = self._picks
        numbers = layouts[first:last].tolist()
        shapes = [
            Shape(self.space.layout(layout), range(several))
            for layout, several in zip(numbers, taken[first:last].tolist(), strict=True)
        ]
        found = Runner(self.subject, self._writer).figures(shapes)

        def title_of(shape: Shape, place: int) -> str:
            return self._writer.titled(shape.layout, shape.choices[place])["title"]

        tally = self._counter.tally(numbers, shapes, found, title_of)
        return json.dumps(tally.document(), allow_nan=False).encode()

    def result(self, parts: Iterable[bytes]) -> Document:
        """Return the cheapest plans of all parts."""
        tally = self._counter.together(Tally.of(json.loads(part)) for part in parts)
        answer = Answer(
            self.subject, self.question, self.sources, self.gear, self.space, self._counter
        )
        return answer.document(tally)

    @property
    def _writer(self) -> Writer:
        return Writer(self.sources, self.gear)

    @property
    def _counter(self) -> Counter:
        return Counter(limits_of(self.question), self.question.top)

    @cached_property
    def _picks(self) -> tuple[Numbers, Numbers]:
        """Layouts that are looked at in the order of their numbers, and how many plans of each."""
        most = self.question.most_plans
        if self.space.plans <= most:
            layouts = np.arange(self.space.layouts)
        else:
            generator = np.random.default_rng(np.random.SeedSequence(self.question.seed))
            size = min(most, self.space.layouts)
            layouts = generator.choice(self.space.layouts, size=size, replace=False)
        ends = np.array(self.space.ends)
        by_order = np.array(
            [self.space.settings_of_order(order) for order in range(len(ends))], np.int64
        )
        several = by_order[np.searchsorted(ends, layouts, side="right")]
        before = np.cumsum(several) - several
        taken = np.minimum(several, most - before)
        picked = taken > 0
        layouts, taken = layouts[picked], taken[picked]
        order = np.argsort(layouts)
        return layouts[order], taken[order]

    @cached_property
    def _bounds(self) -> list[int]:
        """Where each part begins among the layouts that are looked at, and where the last ends."""
        _, taken = self._picks
        part_of = (np.cumsum(taken) - taken) // PLANS_PER_PART
        begins = np.flatnonzero(np.diff(part_of, prepend=-1))
        return [*begins.tolist(), len(taken)]


def plans_within_limits(subject: Subject, question: PlansWithinLimits) -> Work:
    """Search the plans that can be made of a scenario's systems for those within limits.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    faults = list(faults_of_question(subject, question))
    if any(fault.input == "start_from" for fault in faults):
        raise InputError(faults)
    sources = sources_of(subject, question.start_from)
    gear = Gear(sources)
    faults += faults_of_sources(sources, gear, question)
    if faults:
        raise InputError(faults)
    space = _space(sources, gear, question)
    if space.most_orders > MOST_ORDERS:
        raise InputError([fault_of_many(space.most_orders)])
    if not space.layouts:
        raise InputError([fault_of_nothing()])
    return PlanSearch(subject, question, sources, gear, space)


def _space(sources: Sources, gear: Gear, question: PlansWithinLimits) -> Space:
    allow = question.allow
    shown = [word for found in sources.steps for word in found.words]
    words = list(dict.fromkeys(shown if allow.presentations is None else allow.presentations))
    optional = frozenset(_some_have(sources) if allow.structures is None else allow.structures)
    kitchen = Kitchen(
        sources,
        gear,
        frozenset(allow.methods or {found.step.method for found in sources.steps}),
        words,
        optional,
    )
    templates = kitchen.templates()
    hay = gear.ways_of_keeping_hay(
        optional=STORAGE in optional, bare=STORAGE in (allow.structures or ())
    )
    come_along = {
        item["kind"] for part in (gear.base, *[t.gear for t in templates]) for item in part.values()
    }
    return Space(
        templates=templates,
        states=sources.states,
        hay=hay,
        may_be_left_out=sorted(
            kind
            for kind in (allow.structures or ())
            if kind in come_along and kind not in {*WEIGHED, "feeder"} and not KINDS[kind].is_floor
        ),
        max_steps=question.max_steps,
    )


def _some_have(sources: Sources) -> set[str]:
    """Return the kinds that some system has and not all, and whose use the costing sees."""
    kinds = [source.kinds() for source in sources.sources]
    in_some = {kind for some in kinds for kind in some}
    return (in_some - in_all(kinds)) & set(WEIGHED)
