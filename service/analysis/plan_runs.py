"""Costs many plans: those of one shape as draws of a system, many systems in one run."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from service.analysis.draws import with_systems
from service.analysis.plan_documents import Values, Writer
from service.analysis.plan_sources import Document
from service.analysis.plan_space import Layout, numbers_of, setting
from service.analysis.questions import PlanLimits
from service.analysis.subject import Subject
from service.costing.case import Case
from service.costing.checks import faults_of
from service.costing.checks.systems import MOST_SYSTEMS
from service.costing.engine import Costing, worked
from service.costing.errors import Fault, InputError
from service.costing.loans import money_up_front_by_draw
from service.costing.quantities import acres_damaged_by_draw, labor_hours_by_draw
from service.costing.structures import KINDS
from service.costing.units import NEGLIGIBLE, Array
from service.costing.workday import ordinary_minutes_by_draw

COST = "annual_equivalent_cost"
LIMITED = tuple(item.name for item in fields(PlanLimits))
"""Figures that a plan can be held to, by the names of the limits."""

SYSTEMS_PER_RUN = 24
"""Enough for what all systems share to weigh little."""

RULED_BY_FEED = ("hay_storage", "manure_storage")
"""Kinds whose size by rule follows from hay and manure, and so from the limits of steps."""


@dataclass(frozen=True, slots=True)
class Figures:
    """What a plan comes to for each choice of its numbers, shape (choices,)."""

    values: Mapping[str, Array]
    unfed: NDArray[np.bool_]
    """Whether animals are left with no place to be fed."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One layout, with those choices of its numbers that are looked at."""

    layout: Layout
    which: Sequence[int]

    @property
    def choices(self) -> list[Values]:
        """The numbers of each choice."""
        numbers = numbers_of(self.layout)
        return [setting(numbers, which) for which in self.which]


def figures_of(costing: Costing, key: str, choices: int) -> Figures:
    """Return what a system comes to in each draw of a costing."""
    system = costing.systems[key]
    paid = system.account.paid_by_year.value[..., 0]
    by_name = {
        COST: system.account.annual_equivalent.value[:, 0],
        "money_up_front": money_up_front_by_draw(system),
        "first_year_cash": paid[0] + paid[1],
        "labor_hours": labor_hours_by_draw(costing, system),
        "minutes_weekday": ordinary_minutes_by_draw(costing, system),
        "acres_damaged": acres_damaged_by_draw(costing, system).sum(axis=0),
    }
    left = np.max(system.run.left.value, axis=(0, 1, -1))
    return Figures(
        {name: np.broadcast_to(value, (choices,)) for name, value in by_name.items()},
        np.broadcast_to(left > NEGLIGIBLE, (choices,)),
    )


def figures_of_system(subject: Subject, key: str) -> Figures:
    """Return what a system of the scenario comes to."""
    return figures_of(worked(Case(with_systems(subject.scenario, [key]))), key, 1)


class _SilentCase(Case):
    """A case that refuses without a search for what was meant: such a plan is skipped."""

    def refuse_missing(self) -> None:
        """Raise if a reference value was asked for that nobody gives."""
        if self.missing:
            raise InputError([Fault("assumptions", "A reference value is needed and not given.")])


@dataclass(frozen=True)
class Runner:
    """Costs layouts with their numbers."""

    subject: Subject
    writer: Writer

    def figures(self, shapes: Sequence[Shape]) -> list[Figures | None]:
        """Return what each layout comes to for its choices; None where it is no valid system."""
        found: list[Figures | None] = [None] * len(shapes)
        by_choices: dict[int, list[int]] = {}
        for number, shape in enumerate(shapes):
            if _must_be_alone(shape, self.writer.system(shape.layout, {})):
                found[number] = self._one_by_one(shape)
            else:
                by_choices.setdefault(len(shape.which), []).append(number)
        most = max(1, min(SYSTEMS_PER_RUN, MOST_SYSTEMS - len(self.subject.scenario.systems)))
        for numbers in by_choices.values():
            for start in range(0, len(numbers), most):
                batch = numbers[start : start + most]
                results = self._batch([shapes[number] for number in batch])
                for number, result in zip(batch, results, strict=True):
                    found[number] = result
        return found

    def _one_by_one(self, shape: Shape) -> Figures | None:
        """Cost each choice in a run of its own, where a size by rule must not see the others."""
        parts = [self._batch([Shape(shape.layout, [which])])[0] for which in shape.which]
        known = [part for part in parts if part is not None]
        if len(known) < len(parts):
            return None
        names = known[0].values
        return Figures(
            {name: np.concatenate([part.values[name] for part in known]) for name in names},
            np.concatenate([part.unfed for part in known]),
        )

    def _batch(self, shapes: Sequence[Shape]) -> list[Figures | None]:
        """Cost layouts with equally many choices in one run, without those that cannot be."""
        if not shapes:
            return []
        keys = self._keys(len(shapes))
        try:
            costing = self._worked(dict(zip(keys, shapes, strict=True)))
        except InputError as error:
            return self._without_faulty(shapes, keys, error)
        choices = len(shapes[0].which)
        return [figures_of(costing, key, choices) for key in keys]

    def _without_faulty(
        self, shapes: Sequence[Shape], keys: Sequence[str], error: InputError
    ) -> list[Figures | None]:
        if len(shapes) == 1:
            return [None]
        faulty = {fault.input.split(".")[1] for fault in error.faults if "." in fault.input}
        sound = [shape for key, shape in zip(keys, shapes, strict=True) if key not in faulty]
        if len(sound) == len(shapes):
            half = len(shapes) // 2
            return [*self._batch(shapes[:half]), *self._batch(shapes[half:])]
        results = iter(self._batch(sound))
        return [None if key in faulty else next(results) for key in keys]

    def _keys(self, several: int) -> list[str]:
        """Return keys for systems of a run that no system of the scenario has."""
        stem = "plan"
        while any(key.startswith(stem) for key in self.subject.scenario.systems):
            stem += "_x"
        return [f"{stem}_{number}" for number in range(several)]

    def _worked(self, shapes: Mapping[str, Shape]) -> Costing:
        documents: dict[str, Document] = {}
        varied: dict[str, Array] = {}
        for key, shape in shapes.items():
            choices = shape.choices
            documents[key] = self.writer.system(shape.layout, choices[0])
            if len(choices) == 1:
                continue
            steps = [step["key"] for step in documents[key]["plan"]]
            for position, name in choices[0]:
                values = np.array([choice[position, name] for choice in choices])
                varied[f"systems.{key}.plan.{steps[position]}.{name}"] = values[:, None]
        document = self.subject.document
        systems = {**document["systems"], **documents}
        scenario = self.subject.read({**document, "systems": systems})
        if faults := faults_of(scenario):
            raise InputError(faults)
        return worked(_SilentCase(with_systems(scenario, list(shapes)), varied=varied))


def _is_sized(structure: Document, beginning: str = "") -> bool:
    """Whether a size is given, or of what exists already."""
    return f"{beginning}{KINDS[structure['kind']].size_field}" in structure


def _must_be_alone(shape: Shape, system: Document) -> bool:
    """Whether the choices of a layout cannot be draws of one run.

    What exists is enlarged in all draws if in any, and the permit for it is paid in all.
    """
    if len(shape.which) == 1:
        return False
    return any(
        item["kind"] in RULED_BY_FEED and _is_sized(item, "existing_") and not _is_sized(item)
        for item in system["structures"].values()
    )
