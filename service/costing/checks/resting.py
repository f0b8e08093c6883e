"""Faults of the place where animals rest when they are not where they feed."""

from collections.abc import Iterator

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import choice, exact, some_of
from service.costing.checks.question import Question, Site
from service.costing.errors import Fault
from service.costing.methods import Step
from service.costing.places import LAND, fed_on
from service.costing.units import HOURS_PER_DAY


def resting_faults(question: Question, site: Site, path: str, step: Step) -> Iterator[Fault]:
    """Yield what is wrong with the hours of a step and the rest of the day.

    ``path`` is the input path of the step.
    """
    known = [*site.floors, *LAND]
    all_day = step.hours_on_method >= HOURS_PER_DAY
    if step.resting_place is None:
        if not all_day:
            yield Fault(
                f"{path}.resting_place",
                f"Animals feed there for {exact(step.hours_on_method)} hours; say where they are "
                f"for the rest of the day (known: {some_of(known)}).",
                allowed=choice(known),
            )
    else:
        if all_day:
            yield fault_of(
                step,
                path,
                "hours_on_method",
                f"Animals that feed there for 24 hours cannot rest on {step.resting_place}; give "
                "fewer hours_on_method, or leave resting_place out.",
                allowed="more than 0, less than 24",
            )
        yield from _place(question, site, path, step.resting_place)
        if step.resting_place == fed_on(step):
            yield Fault(
                f"{path}.resting_place",
                f"Animals feed on {step.resting_place} and rest on it too; leave resting_place "
                "and hours_on_method out.",
                received=step.resting_place,
            )
    yield from _field(question, path, step)


def _place(question: Question, site: Site, path: str, place: str) -> Iterator[Fault]:
    if place in LAND or place in site.floors:
        return
    known = [*site.floors, *LAND]
    structure = site.system.structures.get(place)
    if structure is None:
        yield question.unknown(f"{path}.resting_place", "resting place", place, known)
    else:
        yield Fault(
            f"{path}.resting_place",
            f"{place} is a {structure.kind}; animals rest on a floor, on pasture or on a "
            f"sacrifice_lot. Known: {some_of(known)}.",
            received=place,
            allowed=choice(known),
        )


def _field(question: Question, path: str, step: Step) -> Iterator[Fault]:
    fields = question.scenario.land.fields
    path = f"{path}.resting_field"
    if step.resting_field is None:
        if step.resting_place in LAND:
            yield Fault(
                path,
                f"Animals rest on {step.resting_place}; say on which field. Known fields: "
                f"{some_of(list(fields)) or 'none'}.",
                allowed=choice(list(fields)),
            )
    elif step.resting_place not in LAND:
        yield Fault(
            path,
            "resting_field goes with the resting_place pasture or sacrifice_lot; leave it out, or "
            "set resting_place to one of them.",
            received=step.resting_field,
        )
    elif step.resting_field not in fields:
        yield question.unknown(path, "field", step.resting_field, list(fields))
