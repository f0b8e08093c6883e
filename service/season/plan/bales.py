"""Bales set out on grass: placed before the ground goes soft, opened in rows, fetched in."""

from collections.abc import Iterator

from service.costing.formulas.bale_grazing import acres_covered
from service.costing.methods.bale_grazing import BaleGrazing
from service.costing.wording import count, listed, named
from service.season.figures import figure_of
from service.season.plan.anchors import winter_begins, winter_ends
from service.season.plan.dated import ahead_of, at, following, numbered, task
from service.season.plan.records import Amount, Task
from service.season.plan.wording import every
from service.season.subject import SeasonSubject


def bale_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield what bales set out on grass ask for; nothing where none are."""
    steps = {
        key: step for key, step in subject.system.steps.items() if isinstance(step, BaleGrazing)
    }
    for position, step in enumerate(steps.values()):
        yield _set_out(subject, position, step)
    for position, (key, step) in enumerate(steps.items()):
        if step.days_per_move is not None:
            yield _moves(subject, position, key, step)
    left = subject.result["quantities"]["bales"]["set_out_not_used"]
    if left >= figure_of("least.bales").usual:
        fields = listed(_field(subject, step) for step in steps.values())
        yield _fetch(subject, left, fields)


def _field(subject: SeasonSubject, step: BaleGrazing) -> str:
    key = step.field or step.method
    field = subject.scenario.land.fields.get(key)
    return named(field.title if field else None, key)


def _set_out(subject: SeasonSubject, position: int, step: BaleGrazing) -> Task:
    acres = float(acres_covered(bales=step.bales_set_out, spacing=step.spacing_ft))
    field = _field(subject, step)
    return task(
        numbered("set_out_bales", position),
        f"Set out {count(step.bales_set_out)} bales on {field}",
        ahead_of(
            winter_begins(subject),
            "lead.set_out_bales",
            "The ground still bears a loaded tractor; later it ruts.",
        ),
        f"{step.spacing_ft:g} ft from center to center, where they cannot roll, and far from "
        "water. Take the net wrap and twine off before frost, or on the day each row is opened.",
        "Not estimated: it costs nothing while the ground is firm, and ruts once it is not.",
        part="hay",
        how_much=(
            Amount(step.bales_set_out, "bale", f"on {field}"),
            Amount(step.spacing_ft, "ft", "from center to center"),
            Amount(acres, "acre", "covered"),
        ),
        cautions=("net_wrap_and_twine", "loader_and_bales", "slope", "setbacks_not_checked"),
    )


def _moves(subject: SeasonSubject, position: int, key: str, step: BaleGrazing) -> Task:
    interval = step.days_per_move or 1.0
    days = sum(subject.result["quantities"]["served_days"][key].values())
    return task(
        numbered("open_bales", position),
        f"Open a row of bales {every(interval)}",
        at(winter_begins(subject), "Bales are fed from the day on which their turn comes."),
        f"On {_field(subject, step)}, when this step is reached. See that no wrap or twine is "
        "left on them, then move the wire.",
        "Not estimated: until then other hay is fed.",
        part="winter",
        when="from",
        how_much=(
            Amount(interval, "day", "between moves"),
            Amount(days / interval, "time", "moves in a mean winter"),
        ),
        cautions=("net_wrap_and_twine", "electric_fence"),
        last_day=winter_ends(subject).day,
    )


def _fetch(subject: SeasonSubject, left: float, fields: str) -> Task:
    return task(
        "fetch_bales",
        f"Fetch the bales that were not used from {fields}",
        following(
            winter_ends(subject), "after.fetch_bales", "The grass under a bale dies in spring."
        ),
        "As soon as the ground bears the tractor. Put them under cover and count them.",
        "Not estimated: the grass under them is lost, and the hay weathers.",
        part="ground",
        how_much=(Amount(left, "bale", "set out and not used, mean of the winters"),),
        cautions=("loader_and_bales", "slope"),
    )
