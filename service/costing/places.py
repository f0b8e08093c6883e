"""Where the animals of a step stand, and for how much of the day."""

from dataclasses import dataclass

from service.costing.case import Case
from service.costing.figure import Figure
from service.costing.formulas.intake import rest_of_day, share_of_day
from service.costing.methods import METHODS, Step
from service.costing.plan import Floor, System
from service.costing.units import HOURS_PER_DAY, STATES

LAND = ("pasture", "sacrifice_lot")


@dataclass(slots=True)
class Place:
    """One place of a step: a word of the model, with the structure or the field it is."""

    word: str
    hours_share: Figure
    feeds_here: bool
    structure: str | None
    field: str | None
    roofed: bool

    @property
    def is_floor(self) -> bool:
        """Whether it is a floor, not land."""
        return self.structure is not None


def fed_on(step: Step) -> str | None:
    """Return the key of the structure that a step feeds on, or None on land."""
    return step.setting("structure") if METHODS[step.method].structure_kinds else None


def feeding_field(step: Step, system: System) -> str | None:
    """Return the field where a step feeds: its own, else its structure's."""
    if step.field is not None:
        return step.field
    key = fed_on(step)
    structure = system.structures.get(key) if key else None
    return structure.field if structure else None


def places_of(case: Case, system: System, path: str, step: Step) -> list[Place]:
    """Return the places of a step, the feeding place first.

    ``path`` is the input path of the step.
    """
    floors = system.floors
    hours = case.given(f"{path}.hours_on_method", step.hours_on_method, "hour/day")
    structure = fed_on(step)
    places = [
        _place(
            floors,
            word=step.method,
            key=structure,
            field=step.field,
            share=case.work(share_of_day, hours=hours),
            feeds=True,
        )
    ]
    if step.resting_place is not None and step.hours_on_method < HOURS_PER_DAY:
        on_land = step.resting_place in LAND
        places.append(
            _place(
                floors,
                word=step.resting_place,
                key=None if on_land else step.resting_place,
                field=step.resting_field if on_land else None,
                share=case.work(rest_of_day, hours=hours),
                feeds=False,
            )
        )
    return places


def _place(
    floors: dict[str, Floor],
    *,
    word: str,
    key: str | None,
    field: str | None,
    share: Figure,
    feeds: bool,
) -> Place:
    if key is None:
        return Place(word, share, feeds, None, field, roofed=False)
    floor = floors[key]
    return Place(floor.structure.kind, share, feeds, key, None, floor.roofed)


def states_of(step: Step) -> list[str]:
    """Return the ground states on which a step may be used."""
    return [state for state in STATES if step.ground_states is None or state in step.ground_states]
