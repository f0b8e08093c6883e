"""Manure and bedding that come off floors: cleaned out and spread when the ground bears it."""

from collections.abc import Iterator

from service.costing.averages import mean
from service.costing.units import NEGLIGIBLE
from service.costing.wording import amount, named
from service.season.plan.anchors import winter_ends
from service.season.plan.dated import following, task
from service.season.plan.records import Amount, Task
from service.season.plan.structures import BETWEEN
from service.season.subject import SeasonSubject


def manure_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield cleaning out and spreading; nothing where no floor is used."""
    quantities = subject.result["quantities"]
    tons, loads = quantities["manure_to_handle_ton"], quantities["manure_loads"]
    if tons <= NEGLIGIBLE:
        return
    by_floor = tuple(
        Amount(
            mean(subject.costing.winters, floor.tons),
            "ton",
            named(floor.floor.structure.title, floor.floor.key),
        )
        for floor in subject.costed.floors
    )
    names = BETWEEN.join(each.of for each in by_floor)
    yield task(
        "clean_out",
        f"Clean out: {names}",
        following(
            winter_ends(subject), "after.clean_out", "The animals are off, flies are not yet."
        ),
        "Take what was scraped and what is left. Air a closed building first, and never go into "
        "a pit.",
        "Not estimated: flies, and nitrogen that is lost to the air.",
        part="manure",
        how_much=by_floor,
        cautions=("manure_gas", "winter_spreading", "flies"),
    )
    yield task(
        "spread_manure",
        f"Spread {amount(loads)} loads of manure and bedding",
        following(
            winter_ends(subject),
            "after.spread_manure",
            "The ground bears the spreader, and growing grass takes up what is spread.",
        ),
        "On ground that needs it by soil test, away from water, when no rain is near. State rules "
        "on dates and distances come first.",
        "Not estimated: it depends on what the grass would have taken up.",
        part="manure",
        how_much=(
            Amount(loads, "load", "mean of the winters"),
            Amount(tons, "ton", "mean of the winters"),
        ),
        cautions=("winter_spreading", "herbicide_carry_over", "wells"),
    )
