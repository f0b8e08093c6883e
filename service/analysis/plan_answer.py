"""The answer to a search for plans: the cheapest within limits, or those that come nearest."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from service.analysis.plan_documents import Writer
from service.analysis.plan_gear import MOUND, Gear
from service.analysis.plan_runs import COST, LIMITED, figures_of_system
from service.analysis.plan_sources import Document, Sources, words_of
from service.analysis.plan_space import Space, numbers_of, setting
from service.analysis.plan_tally import Counter, Kept, Tally
from service.analysis.questions import PlansWithinLimits
from service.analysis.subject import Subject
from service.costing.wording import listed, named

STEM = "plan"


@dataclass(frozen=True)
class Answer:
    """What the answer is made of."""

    subject: Subject
    question: PlansWithinLimits
    sources: Sources
    gear: Gear
    space: Space
    counter: Counter

    def document(self, tally: Tally) -> Document:
        """Return the answer as a document."""
        exhaustive = self.space.plans <= self.question.most_plans
        start = self._start()
        return {
            "unit": f"{self.subject.scenario.currency}/year",
            "searched": tally.searched,
            "plans_in_all": self.space.plans,
            "exhaustive": exhaustive,
            "skipped": tally.not_valid + tally.unfed,
            "skipped_because": {"not_valid": tally.not_valid, "animals_unfed": tally.unfed},
            "feasible": tally.feasible,
            "limits": dict(self.counter.limits),
            "binding": self.counter.binding(tally),
            "start_from": start,
            "plans": [
                {"rank": rank, **self._plan(kept, rank)}
                for rank, kept in enumerate(tally.best, start=1)
            ],
            "nearest": [] if tally.best else self._nearest(tally),
            "warnings": list(self._warnings(tally, start, exhaustive=exhaustive)),
        }

    def _plan(self, kept: Kept, number: int) -> Document:
        layout = self.space.layout(kept.layout)
        values = setting(numbers_of(layout), kept.which)
        system = Writer(self.sources, self.gear).titled(layout, values)
        return {
            "title": system["title"],
            **_figures(kept.figures),
            "system": system,
            "patch": {"systems": {self._key(number): system}},
        }

    def _nearest(self, tally: Tally) -> list[Document]:
        """Return for each limit the plan that breaks it least, and what that plan misses."""
        return [
            {
                "limit": name,
                "misses": self.counter.misses(kept.figures),
                **self._plan(kept, number),
            }
            for number, (name, kept) in enumerate(tally.nearest.items(), start=1)
        ]

    def _start(self) -> Document:
        key = self.sources.start.key
        found = figures_of_system(self.subject, key)
        figures = {name: float(values[0]) for name, values in found.values.items()}
        misses = self.counter.misses(figures)
        return {"system": key, **_figures(figures), "meets": not misses, "misses": misses}

    def _key(self, number: int) -> str:
        """Return a key that no system of the scenario has."""
        key = f"{STEM}_{number}"
        while key in self.subject.scenario.systems:
            key += "_x"
        return key

    def _warnings(self, tally: Tally, start: Document, *, exhaustive: bool) -> Iterator[str]:
        if not exhaustive:
            yield (
                f"There are {self.space.plans:,} plans, and {tally.searched:,} were looked at, "
                f"picked evenly by the seed {self.question.seed}; a cheaper one may be among the "
                "others. Allow fewer methods, presentations or structures, or raise most_plans."
            )
        if tally.unfed:
            yield (
                f"{tally.unfed:,} of the plans leave animals with nowhere to feed in some winter; "
                "they were not counted as plans."
            )
        if not tally.best:
            yield "No plan meets all the limits; those that come nearest to each are shown."
        elif start["meets"] and start[COST] <= tally.best[0].figures[COST]:
            yield (
                f"{self._name_of_start()} meets the limits itself and costs no more than any plan "
                "that was found."
            )
        yield from self._of_the_search()
        if tally.best or tally.nearest:
            yield (
                "Put a plan into the scenario and cost it before you act on it: its warnings, "
                "cautions and what must be built beside it are told there."
            )

    def _of_the_search(self) -> Iterator[str]:
        herd = self.subject.scenario.herd
        others = [
            named(group.title, key) for key, group in herd.items() if key not in self.sources.groups
        ]
        if others:
            yield f"The steps of {listed(others)} stay as they are in {self._name_of_start()}."
        words = {
            word
            for item in self.space.templates
            for offer in item.offers
            for word in words_of(offer.presentation)
        }
        if len(words) > 1 and not self.gear.lists_feeders:
            yield (
                "No system lists feeders, so another way to put hay before the animals changes "
                "waste and work, and costs nothing to buy."
            )
        if any(len(item.stands) > 1 for item in self.space.templates) and self._has_mounds:
            yield (
                "A dry bed on a mound is not counted in money, only the energy that mud takes: "
                "where a plan has no mound, look at its days without a dry bed."
            )
        if self.space.may_be_left_out:
            kinds = listed(kind.replace("_", " ") for kind in self.space.may_be_left_out)
            yield (
                f"The costing does not see what is lost without {kinds}; that a plan without is "
                "cheaper does not say that it can do without."
            )

    @property
    def _has_mounds(self) -> bool:
        return any(MOUND in source.kinds() for source in self.sources.sources)

    def _name_of_start(self) -> str:
        start = self.sources.start
        return named(start.system.title, start.key)


def _figures(figures: Mapping[str, float]) -> dict[str, float]:
    return {name: figures[name] for name in (COST, *LIMITED)}
