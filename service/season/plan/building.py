"""What is built, bought and looked over before winter."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from service.costing.structures import KINDS
from service.costing.wording import amount
from service.season.plan.anchors import Anchor, winter_begins
from service.season.plan.dated import Dated, ahead_of, following, task
from service.season.plan.permissions import permission_tasks
from service.season.plan.records import Amount, Task, WeekLate
from service.season.plan.structures import (
    BETWEEN,
    Works,
    added_size,
    concerning,
    shared,
    standing,
    title_of,
    works_of,
)
from service.season.plan.week_late import readiness_week_late
from service.season.subject import SeasonSubject

WATER_KINDS = frozenset({"waterer", "pipeline", "pump"})

SERVES_WITHOUT = "Not estimated: without it the system can begin, with more waste or work."


def building_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield what things built and bought ask for, and a look over what stands."""
    works = works_of(subject)
    built = [each for each in works if not each.is_bought]
    bought = [each for each in works if each.is_bought]
    yield from permission_tasks(subject, works)
    if built:
        late = readiness_week_late(subject)
        needed = [each for each in built if _is_needed(each)] or built
        for each in built:
            yield _begin(each)
            yield _finish(subject, each, late if each in needed else SERVES_WITHOUT)
        yield from _inspections(built)
    if bought:
        yield _buy(subject, bought)
    yield from _look_over(subject)


def _is_needed(works: Works) -> bool:
    """Whether animals stand on it or under it, so that the system cannot run without."""
    return KINDS[works.kind].is_floor or works.kind == "roof"


def _size(works: Works) -> Amount:
    unit = KINDS[works.kind].size_unit
    return Amount(added_size(works.built), unit, works.title)


def _finish_day(works: Works, subject: SeasonSubject) -> Dated:
    why = "It must be ready, tried and mended before animals or hay depend on it."
    return ahead_of(winter_begins(subject), works.finish_key, why)


def _begin(works: Works) -> Task:
    finished = Anchor(works.finish, "it must be finished", "winter.first_day")
    dated = ahead_of(
        finished, f"build.{works.kind}", "So long the work takes, and rain adds to it."
    )
    return task(
        f"build_{works.built.key}",
        f"Begin building: {works.title}",
        dated,
        "With consents, permits, contract and drawings in hand and buried lines marked.",
        "Not estimated: it counts if it is then finished late.",
        part="building",
        how_much=(_size(works),),
        cautions=(
            *concerning([works], "call_before_digging", "wetland_flood_plain_permits"),
            *shared([works]),
        ),
        last_day=works.finish,
    )


def _finish(subject: SeasonSubject, works: Works, late: WeekLate | str) -> Task:
    own = {
        "roof": ("snow_and_wind_on_roofs",),
        "pack_floor": ("snow_and_wind_on_roofs", "manure_gas"),
        "hay_storage": ("snow_and_wind_on_roofs", "stack_fire"),
        "manure_storage": ("manure_gas",),
        "waterer": ("stray_voltage",),
        "pump": ("stray_voltage",),
    }
    return task(
        f"finished_{works.built.key}",
        f"Finished: {works.title}",
        _finish_day(works, subject),
        "Built as it was designed, cleared up, and tried.",
        late,
        part="building",
        how_much=(_size(works),),
        cautions=own.get(works.kind, ()),
    )


def _inspections(built: Sequence[Works]) -> Iterator[Task]:
    ordered = sorted(built, key=lambda each: each.finish)
    for day, members in groupby(ordered, key=lambda each: each.finish):
        ready = list(members)
        yield task(
            f"inspect_{ready[0].built.key}",
            f"Inspect: {BETWEEN.join(each.title for each in ready)}",
            following(
                Anchor(day, "it must be finished", "winter.first_day"),
                "after.inspect",
                "Faults are mended cheapest while the builder is there.",
            ),
            "Walk it with the builder, and with the engineer or the office where they must sign. "
            "Keep the invoices and photographs.",
            "Not estimated: faults that are found later cost more to mend.",
            part="building",
            cautions=(*concerning(ready, "licensed_engineer"), *shared(ready)),
        )


def _buy(subject: SeasonSubject, bought: Sequence[Works]) -> Task:
    sizes = tuple(_size(each) for each in bought)
    names = BETWEEN.join(f"{each.of}, {amount(each.value)} {_plural(each)}" for each in sizes)
    return task(
        "buy_feeders",
        f"Buy and set up: {BETWEEN.join(each.title for each in bought)}",
        ahead_of(
            winter_begins(subject),
            "lead.buy_feeders",
            "Delivery takes time, and it has to be set up and tried.",
        ),
        f"{names}.",
        "Not estimated: until it is there the old ones serve.",
        part="building",
        how_much=sizes,
        cautions=(*shared(bought), "electric_fence"),
    )


def _plural(size: Amount) -> str:
    return "pieces" if size.unit == "piece" and size.value != 1 else size.unit


def _look_over(subject: SeasonSubject) -> Iterator[Task]:
    there = standing(subject)
    if there:
        yield task(
            "check_structures",
            "Look over what is there already",
            ahead_of(
                winter_begins(subject), "lead.check_structures", "There is time to mend or replace."
            ),
            f"Is anything loose, worn, rotten or leaking: {BETWEEN.join(map(title_of, there))}.",
            "Not estimated: what is found later is mended in the cold.",
            part="building",
            cautions=("snow_and_wind_on_roofs",),
        )
    kinds = {each.structure.kind for each in subject.costed.construction.built}
    energizer = "fence" in kinds or "electric_fence" in {
        caution["caution"] for caution in subject.result["cautions"]
    }
    what = (
        "Run every waterer, look at pipes, heaters and drains"
        if kinds & WATER_KINDS
        else ("See where animals will drink when it freezes")
    )
    yield task(
        "check_water",
        "Check water and energizer" if energizer else "Check the water",
        ahead_of(
            winter_begins(subject), "lead.check_water", "What is broken shows before it freezes."
        ),
        f"{what}{'; test the energizer and its ground rods' if energizer else ''}. "
        "Wiring is an electrician's work.",
        "Not estimated: one frozen waterer costs hours a day.",
        part="building",
        cautions=("stray_voltage", "ice", "electric_fence", "wells"),
    )
