"""The herd as arrays: head, weight, stages by date, intake by feed, what a supplement must fill."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from service.costing.case import Case, Cell
from service.costing.farm import Group
from service.costing.figure import Figure
from service.costing.fodder import Supplement
from service.costing.formulas.intake import intake_by_stage, mean_of_stages, supplement_by_stage
from service.costing.formulas.stages import stage_shares, stages_of_groups
from service.costing.formulas.sums import total
from service.costing.plan import HerdChange
from service.costing.units import LIMIT_OF_AVERAGE_QUALITY, LIMIT_OF_LOW_QUALITY, STAGES

GROWING = frozenset({"growing_heifer", "growing_calf", "growing_lamb"})


def quality_of(tdn_fraction: float) -> str:
    """Return the quality of a feed by its TDN."""
    if tdn_fraction < LIMIT_OF_LOW_QUALITY:
        return "low"
    return "high" if tdn_fraction > LIMIT_OF_AVERAGE_QUALITY else "average"


def stated_stage(group: Group) -> str:
    """Return the stage of a group without young on the way."""
    return group.stage or ("growing" if group.animal in GROWING else "maintenance")


@dataclass(frozen=True, slots=True)
class Feed:
    """What animals eat on a step: its analysis, and intake of it."""

    tdn: Figure
    protein: Figure
    by_stage: Figure
    intake: Figure


class Herd:
    """The groups of a case, in the order in which they are given."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.groups = list(case.scenario.herd)
        self.animals = [group.animal for group in case.scenario.herd.values()]
        self.weight = self._array("body_weight_lb", "lb/head")
        self._head = self._array("head", "head")

    def _array(self, name: str, unit: str) -> Figure:
        herd = self.case.scenario.herd
        cells: list[Cell] = [(f"herd.{key}.{name}", getattr(herd[key], name)) for key in herd]
        return self.case.array(cells, (len(herd), 1), unit)

    def head(self, system: str, changes: Mapping[str, HerdChange]) -> Figure:
        """Return the animals of each group in a system, shape (groups, 1, 1, 1)."""
        if not changes:
            return self._head
        cells: list[Cell] = [
            (f"systems.{system}.herd_change.{key}.head", changes[key].head)
            if key in changes
            else None
            for key in self.groups
        ]
        change = self.case.array(cells, (len(cells), 1), "head")
        return self.case.work(total, self._head, change)

    def by_class(self, key: str, members: list[str] | None = None) -> Figure:
        """Return a reference value of each group's class, shape (groups, 1, 1, 1).

        ``key`` has ``<class>`` where the class stands; groups not in ``members`` have 0.
        """

        def make() -> Figure:
            keys = [
                key.replace("<class>", animal) if members is None or group in members else None
                for group, animal in zip(self.groups, self.animals, strict=True)
            ]
            return self.case.references(keys, (len(keys), 1))

        return self.case.once((key, None if members is None else tuple(members)), make)

    def stages(self, first_day: Figure, last_day: Figure) -> Figure:
        """Return the shares of stage on a stretch of days, shape (stages, groups, 1, 1, 1)."""
        return self.case.once(
            ("stages", first_day.value, last_day.value),
            lambda: self.case.work(
                stages_of_groups,
                *[
                    self._stages_of(key, group, first_day, last_day)
                    for key, group in self.case.scenario.herd.items()
                ],
            ),
        )

    def _stages_of(self, key: str, group: Group, first_day: Figure, last_day: Figure) -> Figure:
        case = self.case
        if group.birth_starts is None:
            stage = stated_stage(group)
            shares = np.array([float(name == stage) for name in STAGES]).reshape(-1, 1, 1)
            return Figure(shares, "fraction", sources=f"herd.{key}.stage", axes=("stage",))
        animal = group.animal
        return case.work(
            stage_shares,
            first_day=first_day,
            last_day=last_day,
            birth_starts=case.given(f"herd.{key}.birth_starts", group.birth_starts, "date"),
            birth_season_days=case.given(
                f"herd.{key}.birth_season_days", group.birth_season_days, "day"
            ),
            lactation_days=case.reference(f"stage.lactation_days.{animal}"),
            late_gestation_days=case.reference(f"stage.late_gestation_days.{animal}"),
            gestation_days=case.reference(f"stage.gestation_days.{animal}"),
        )

    def by_stage(self, key: str, stages: Figure) -> Figure:
        """Return a reference value by stage and class where the stage occurs.

        ``key`` has ``<class>`` and ``<stage>``; shape (stages, groups, 1, draws, rows).
        """
        keys = [
            key.replace("<class>", animal).replace("<stage>", stage)
            if stages.value[i, j].any()
            else None
            for i, stage in enumerate(STAGES)
            for j, animal in enumerate(self.animals)
        ]
        return self.case.references(keys, (len(STAGES), len(self.animals), 1))

    def hay(self) -> Feed:
        """Return the hay as feed, on the days of winter."""
        return self.case.once("hay as feed", self._hay)

    def _hay(self) -> Feed:
        hay = self.case.scenario.hay
        first_day, last_day = self.winter_days()
        return self.feed(
            self.case.given("hay.tdn_fraction", hay.tdn_fraction, "fraction"),
            self.case.given("hay.crude_protein_fraction", hay.crude_protein_fraction, "fraction"),
            first_day,
            last_day,
        )

    def stockpile(self, first_day: Figure, last_day: Figure) -> Feed:
        """Return stockpiled grass as feed, on a stretch of days."""
        return self.feed(
            self.case.reference("stockpile.tdn_fraction"),
            self.case.reference("stockpile.crude_protein_fraction"),
            first_day,
            last_day,
        )

    def winter_days(self) -> tuple[Figure, Figure]:
        """Return the first and the last day of winter."""
        winter = self.case.scenario.winter
        return (
            self.case.given("winter.first_day", winter.first_day, "date"),
            self.case.given("winter.last_day", winter.last_day, "date"),
        )

    def feed(self, tdn: Figure, protein: Figure, first_day: Figure, last_day: Figure) -> Feed:
        """Return a feed and the intake of it on a stretch of days."""
        return self.case.once(
            ("feed", str(tdn.sources), first_day.value, last_day.value),
            lambda: self._feed(tdn, protein, first_day, last_day),
        )

    def _feed(self, tdn: Figure, protein: Figure, first_day: Figure, last_day: Figure) -> Feed:
        quality = quality_of(self._plain(tdn))
        stages = self.stages(first_day, last_day)
        by_stage = self.case.work(
            intake_by_stage,
            body_weight=self.weight,
            intake_fraction=self.by_stage(f"intake.<class>.<stage>.{quality}", stages),
        )
        intake = self.case.work(mean_of_stages, stage_share=stages, amount=by_stage)
        return Feed(tdn, protein, by_stage, intake)

    @staticmethod
    def _plain(figure: Figure) -> float:
        """Return the usual value where draws vary around it: quality is a word, not a number."""
        return float(np.mean(np.asarray(figure.value, float)))

    def supplement(self, feed: Feed) -> Figure | None:
        """Return the supplement an animal of each group needs a day, or None if none is named."""
        supplement = self.case.scenario.supplement
        if supplement is None:
            return None
        return self.case.once(
            ("supplement", str(feed.tdn.sources)),
            lambda: self._supplement(supplement, feed),
        )

    def _supplement(self, supplement: Supplement, feed: Feed) -> Figure:
        case = self.case
        stages = self.stages(*self.winter_days())
        by_stage = case.work(
            supplement_by_stage,
            intake=feed.by_stage,
            tdn_required=self.by_stage("requirement.tdn_fraction.<class>.<stage>", stages),
            tdn_fraction=feed.tdn,
            supplement_tdn_fraction=case.given(
                "supplement.tdn_fraction", supplement.tdn_fraction, "fraction"
            ),
            protein_required=self.by_stage(
                "requirement.crude_protein_fraction.<class>.<stage>", stages
            ),
            protein_fraction=feed.protein,
            supplement_protein_fraction=case.given(
                "supplement.crude_protein_fraction",
                supplement.crude_protein_fraction,
                "fraction",
            ),
        )
        return case.work(mean_of_stages, stage_share=stages, amount=by_stage)
