"""What a system does where in winter: which setbacks speak of each field, and which of none."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.costing.averages import largest
from service.costing.places import Place, feeding_field
from service.costing.reference.setbacks import Activity
from service.costing.run import StepRun
from service.costing.triggers.facts import Facts
from service.costing.wording import named

FEEDS = {
    "bale_grazing": "bales are set out and eaten in place",
    "sacrifice_lot": "hay is fed on a lot",
    "unrolled_hay": "hay is unrolled",
}
STORES: dict[str, Activity] = {"hay_storage": "stack", "manure_storage": "storage"}


@dataclass(frozen=True, slots=True)
class Use:
    """One thing that is done at one place in winter."""

    field: str | None
    """Key of the field; None where the scenario names none."""
    title: str
    """Of the field, or else of what stands there."""
    activity: Activity | None
    """What setbacks would call it; None for grazing, of which they do not speak."""
    words: str
    on_lot: bool = False
    """Whether it is on a lot or floor, not on grazed land."""
    of_hay: bool = False
    """Whether hay is stacked, not manure."""


def uses_of(facts: Facts) -> list[Use]:
    """Return what a system does in winter, by place, each once.

    Days on which nothing is served do not count. Hay kept where no structure of the system stands
    is not here: where it lies is not known.
    """
    found = [use for step in facts.steps for use in _of_step(facts, step)]
    return list(dict.fromkeys([*found, *_stores(facts), *_spread(facts)]))


def fields_of(uses: list[Use]) -> list[str]:
    """Return the keys of the fields that are used, each once, in the order of their use."""
    return list(dict.fromkeys(use.field for use in uses if use.field is not None))


def field_of_place(facts: Facts, place: Place) -> str | None:
    """Return the key of the field at which a place is; None for a floor whose field is not given.

    A floor is at its own field.
    """
    if place.structure is None:
        return place.field
    return facts.system.run.system.structures[place.structure].field


def _of_step(facts: Facts, step: StepRun) -> Iterator[Use]:
    plan = facts.system.run.system
    feeding, *resting = step.places
    field = feeding_field(step.step, plan)
    if step.waste is None:
        yield _use(facts, field, None, "grass kept for winter is grazed")
    elif feeding.structure is None:
        on_lot = feeding.word == "sacrifice_lot"
        yield _use(facts, field, "feeding", FEEDS[step.step.method], on_lot=on_lot)
    else:
        yield _on_floor(facts, feeding, "hay is fed on")
    for place in resting:
        if place.structure is not None:
            yield _on_floor(facts, place, "animals rest on")
        elif place.word == "sacrifice_lot":
            yield _use(facts, place.field, "feeding", "animals rest on a lot", on_lot=True)
        else:
            yield _use(facts, place.field, None, "animals rest on pasture")


def _on_floor(facts: Facts, place: Place, what: str) -> Use:
    key = str(place.structure)
    title = named(facts.system.run.system.structures[key].title, key)
    field = field_of_place(facts, place)
    return _use(facts, field, "feeding", f"{what} {title}", on_lot=True, title=title)


def _stores(facts: Facts) -> Iterator[Use]:
    for item in facts.structures(STORES):
        title = named(item.structure.title, item.key)
        hay = item.structure.kind == "hay_storage"
        yield _use(
            facts,
            item.structure.field,
            STORES[item.structure.kind],
            f"{'hay' if hay else 'manure'} is kept at {title}",
            title=title,
            of_hay=hay,
        )


def _spread(facts: Facts) -> Iterator[Use]:
    """Yield the spreading of what is taken off floors; where it goes is not known."""
    winters = facts.costing.winters
    if any(largest(winters, floor.tons) > 0 for floor in facts.system.floors):
        yield Use(None, "Where manure is spread", "spreading", "manure off floors is spread")


def _use(
    facts: Facts,
    field: str | None,
    activity: Activity | None,
    words: str,
    *,
    title: str = "",
    on_lot: bool = False,
    of_hay: bool = False,
) -> Use:
    name = named(facts.field(field).title, field) if field is not None else title
    return Use(field, name, activity, words, on_lot=on_lot, of_hay=of_hay)
