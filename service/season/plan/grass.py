"""Grass that is shut for winter: from the soil test to the last move of the wire."""

from collections.abc import Iterator, Sequence
from itertools import chain

from service.costing.wording import amount, count, listed, named, sentence
from service.season.figures import figure_of
from service.season.plan.anchors import (
    ONE_DAY,
    ShutGrass,
    by_closing,
    by_use,
    shut_grass,
    winter_ends,
)
from service.season.plan.dated import ahead_of, at, numbered, task
from service.season.plan.records import Amount, Task, WeekLate
from service.season.plan.week_late import closing_week_late, nitrogen_week_late
from service.season.plan.wording import every
from service.season.subject import SeasonSubject

GRASS_CAUTIONS = ("toxic_fescue", "nitrate_and_prussic_acid")


def grass_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield what shut grass asks for; nothing where the system shuts none."""
    shut = shut_grass(subject)
    together = list(by_closing(shut))
    fed = sum(any(_nitrogen(grass) for grass in members) for members in together)
    late = nitrogen_week_late(subject, fed) if fed else None
    for position, members in enumerate(together):
        yield from _before_closing(subject, position, members)
        yield from _at_closing(subject, position, members)
        if late is not None and any(_nitrogen(grass) for grass in members):
            yield from _nitrogen_tasks(subject, position, members, late)
    for position, members in enumerate(by_use(shut)):
        yield _turn_on(subject, position, members)
    yield from _moves(subject, shut)


def _nitrogen(grass: ShutGrass) -> float:
    return grass.step.nitrogen_lb_per_acre


def _field(subject: SeasonSubject, grass: ShutGrass) -> str:
    key = grass.step.field or grass.key
    field = subject.scenario.land.fields.get(key)
    return named(field.title if field else None, key)


def _fields(subject: SeasonSubject, grass: tuple[ShutGrass, ...]) -> str:
    return listed(_field(subject, member) for member in grass)


def _acres(subject: SeasonSubject, grass: tuple[ShutGrass, ...]) -> tuple[Amount, ...]:
    return tuple(Amount(each.step.acres, "acre", _field(subject, each)) for each in grass)


def _before_closing(
    subject: SeasonSubject, position: int, grass: tuple[ShutGrass, ...]
) -> Iterator[Task]:
    closing, fields = grass[0].closing, _fields(subject, grass)
    yield task(
        numbered("soil_test", position),
        f"Test the soil of {fields}",
        ahead_of(
            closing,
            "lead.soil_test",
            "The laboratory takes its time, and what it asks for has to be ordered and spread.",
        ),
        "Take one sample from each field. Grass that lacks lime, phosphorus or potash makes "
        "little of nitrogen.",
        "Not estimated: what the soil lacks is not known before the test.",
        part="grass",
        how_much=_acres(subject, grass),
    )
    height = figure_of("grass.height")
    inches = f"{height.low:g} to {height.high:g} in"
    yield task(
        numbered("graze_down", position),
        f"Graze or clip {fields} down",
        ahead_of(
            closing,
            "lead.graze_down",
            "Old growth is poor feed in winter and shades what grows in autumn.",
        ),
        f"Take the old growth down to {inches}, so that what is grazed in winter is new.",
        "Not estimated: it depends on how much old growth is there.",
        part="grass",
        how_much=_acres(subject, grass),
    )


def _at_closing(
    subject: SeasonSubject, position: int, grass: tuple[ShutGrass, ...]
) -> Iterator[Task]:
    closing, fields = grass[0].closing, _fields(subject, grass)
    acres = sum(member.step.acres for member in grass)
    yield task(
        numbered("shut_fields", position),
        f"Shut {amount(acres)} acres: {fields}",
        at(closing, "From this day on all growth is kept for winter."),
        "Close the gates and mark the acres that are shut.",
        closing_week_late(subject, grass),
        part="grass",
        when="on",
        how_much=_acres(subject, grass),
    )
    opened = min(member.use.day for member in grass)
    yield task(
        numbered("keep_off", position),
        f"Keep stock off {fields}",
        at(closing, "What is grazed now does not grow back before winter."),
        "Graze the other fields until growth has ended and winter feeding begins. If they run "
        "short, feed hay there before you open the gate.",
        "Not estimated: it depends on what is eaten meanwhile.",
        part="grass",
        when="from",
        how_much=_acres(subject, grass),
        last_day=opened - ONE_DAY,
    )


def _nitrogen_tasks(
    subject: SeasonSubject, position: int, grass: tuple[ShutGrass, ...], late: WeekLate
) -> Iterator[Task]:
    fed = tuple(member for member in grass if _nitrogen(member))
    closing, fields = fed[0].closing, _fields(subject, fed)
    whole = Amount(
        sum(_nitrogen(member) * member.step.acres for member in fed), "lb", "nitrogen in all"
    )
    yield task(
        numbered("order_nitrogen", position),
        f"Order {count(whole.value)} lb of nitrogen and the spreader",
        ahead_of(
            closing,
            "lead.order_nitrogen",
            "It has to lie ready when the grass is shut, and spreaders are booked out then.",
        ),
        f"For {fields}. Order by pounds of nitrogen, not by bags of product. Leave it out where "
        "clover is thick.",
        "Not estimated by itself: it counts if the nitrogen is then spread late.",
        part="grass",
        how_much=(whole,),
    )
    rates = tuple(
        Amount(_nitrogen(member), "lb/acre", f"nitrogen on {_field(subject, member)}")
        for member in fed
    )
    yield task(
        numbered("spread_nitrogen", position),
        f"Spread nitrogen on {fields}",
        at(closing, "Nitrogen works on growing grass, and the best growing days come first."),
        "Spread it before rain, on the acres that are shut and nowhere else.",
        late,
        part="grass",
        when="on",
        how_much=(*rates, whole),
        cautions=GRASS_CAUTIONS,
    )


def _turn_on(subject: SeasonSubject, position: int, grass: tuple[ShutGrass, ...]) -> Task:
    served = subject.result["quantities"]["served_days"]
    days = tuple(
        Amount(sum(served[each.key].values()), "day", f"{_field(subject, each)}, mean winter")
        for each in grass
    )
    order = ", then ".join(dict.fromkeys(_field(subject, each) for each in grass))
    in_order = "in this order, " if grass[1:] else ""
    states = [
        f"{_field(subject, each)} only on {listed(_said(each.step.ground_states))} ground"
        for each in grass
        if each.step.ground_states
    ]
    return task(
        numbered("turn_on", position),
        f"Turn onto the shut grass: {order}",
        at(grass[0].use, "Growth has ended and winter feeding has begun."),
        sentence("; ".join([f"graze it {in_order}before hay is fed", *states]) + "."),
        "Not estimated: grass that waits is hay fed earlier and grass eaten later.",
        part="grass",
        when="from",
        how_much=days,
        cautions=(*GRASS_CAUTIONS, "electric_fence", "ice"),
    )


def _said(states: Sequence[str] | None) -> list[str]:
    return [state.replace("_", " ") for state in states or []]


def _moves(subject: SeasonSubject, shut: tuple[ShutGrass, ...]) -> Iterator[Task]:
    intervals = dict.fromkeys(each.step.days_per_move for each in shut)
    moved = [interval for interval in intervals if interval is not None]
    served = subject.result["quantities"]["served_days"]
    for position, interval in enumerate(moved):
        members = tuple(each for each in shut if each.step.days_per_move == interval)
        first = min(members, key=lambda each: each.use.day)
        days = sum(chain.from_iterable(served[each.key].values() for each in members))
        yield task(
            numbered("move_wire", position),
            f"Move the wire {every(interval)}",
            at(first.use, "Short breaks are eaten cleaner than long ones."),
            f"On {_fields(subject, members)}: give what lasts until the next move, with the "
            "wire behind it if there is water in front.",
            "Not estimated for a week; with fewer moves more grass is trampled.",
            part="grass",
            when="from",
            how_much=(
                Amount(interval, "day", "between moves"),
                Amount(days / interval, "time", "moves in a mean winter"),
            ),
            cautions=("electric_fence",),
            last_day=winter_ends(subject).day,
        )
