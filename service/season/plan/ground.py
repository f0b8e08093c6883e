"""The ground after winter: walked, cleared, covered, repaired, seeded."""

from collections.abc import Iterator

from service.costing.units import SEVERITIES
from service.costing.wording import amount
from service.season.figures import figure_of
from service.season.plan.anchors import Anchor, next_end_of_growth, next_winter, winter_ends
from service.season.plan.dated import Dated, ahead_of, following, task
from service.season.plan.records import Amount, Task
from service.season.subject import SeasonSubject

DEFINITIONS = (
    "Light: prints under 2 in, the sod holds. Moderate: prints of 2 to 4 in, less than half "
    "bare. Severe: deeper, or more than half bare."
)
WHY_SEED = "Seedlings need weeks of growth before frost, and late summer has fewer weeds."


def ground_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield the way from the last day of winter to ground that is whole again."""
    acres = subject.result["quantities"]["acres_damaged"]
    if subject.result["quantities"]["hay_eaten_ton_dm"] > 0:
        yield _pick_up(subject)
    yield _walk(subject, acres)
    least = figure_of("least.acres").usual
    slight = acres["light"] + acres["moderate"]
    if slight >= least:
        yield _repair(subject, acres)
    if acres["severe"] >= least:
        yield from _cover(subject, acres["severe"])
        yield from _seed(subject, acres["severe"])


def _pick_up(subject: SeasonSubject) -> Task:
    tons = subject.result["quantities"]["hay_wasted_ton_dm"]
    return task(
        "pick_up",
        "Pick up net wrap and twine; drag or spread what hay is left",
        following(
            winter_ends(subject),
            "after.pick_up",
            "Grass grows through wrap, and flies breed in the leavings once it is warm.",
        ),
        "Walk every place where hay lay. Spread thick leavings thin, or haul them off.",
        "Not estimated: flies, and sod that dies under thick leavings.",
        part="ground",
        how_much=(Amount(tons, "ton DM", "hay wasted where it was fed"),),
        cautions=("net_wrap_and_twine", "flies", "herbicide_carry_over"),
    )


def _walk(subject: SeasonSubject, acres: dict[str, float]) -> Task:
    whole = sum(acres.values())
    return task(
        "walk_ground",
        "Walk the ground and measure the acres to fix",
        following(winter_ends(subject), "after.walk", "Prints can still be told by their depth."),
        f"{DEFINITIONS} The plan expects {amount(whole)} acres in the mean of the winters.",
        "Not estimated: what is not measured now is guessed later.",
        part="ground",
        how_much=tuple(
            Amount(acres[severity], "acre", severity) for severity in reversed(SEVERITIES)
        ),
    )


def _repair(subject: SeasonSubject, acres: dict[str, float]) -> Task:
    kinds = tuple(
        Amount(acres[severity], "acre", severity)
        for severity in ("light", "moderate")
        if acres[severity] > 0
    )
    return task(
        "repair_ground",
        f"Repair {amount(sum(each.value for each in kinds))} acres of light and moderate damage",
        following(
            winter_ends(subject),
            "after.repair",
            "The ground is dry enough to drag, and the grass is still short.",
        ),
        "Light: drag and rest it. Moderate: drag, overseed and rest it until it is closed.",
        "Not estimated: seed that comes up late meets dry weather and weeds.",
        part="ground",
        how_much=kinds,
    )


def _cover(subject: SeasonSubject, acres: float) -> Iterator[Task]:
    severe = (Amount(acres, "acre", "severe"),)
    yield task(
        "quick_cover",
        f"Sow a quick cover on {amount(acres)} acres",
        following(
            winter_ends(subject),
            "after.quick_cover",
            "Bare ground washes off and fills with weeds.",
        ),
        "Harrow it level and sow oats or annual ryegrass. If feeding ended in April, crabgrass "
        "sown from late April on may serve better.",
        "Not estimated: a shorter growth before it is grazed out.",
        part="ground",
        how_much=severe,
    )
    yield task(
        "graze_cover",
        "Graze out the quick cover",
        following(
            winter_ends(subject), "after.graze_cover", "It must not set seed or shade what follows."
        ),
        "In mid to late May in most years. Then keep the ground covered over summer, with "
        "crabgrass or what grows, and clip weeds.",
        "Not estimated: it shades and outgrows what follows.",
        part="ground",
        when="from",
        how_much=severe,
    )


def seeding(subject: SeasonSubject) -> Dated:
    """Return the day by which perennial grass is sown in late summer."""
    growth = next_end_of_growth(subject)
    if growth is not None:
        dated = ahead_of(growth, "lead.seed", WHY_SEED)
        if dated.day > subject.season.last_day:
            return dated
    return ahead_of(next_winter(subject), "lead.seed_before_winter", WHY_SEED)


def _seed(subject: SeasonSubject, acres: float) -> Iterator[Task]:
    dated = seeding(subject)
    severe = (Amount(acres, "acre", "severe"),)
    yield task(
        "lime",
        "Test the soil and lime the ground that will be seeded",
        ahead_of(
            Anchor(dated.day, "perennial grass is seeded", dated.reason.anchor),
            "lead.lime",
            "Lime works in half a year, not in a week.",
        ),
        "Lots are rich in phosphorus and potash after a winter; only lime may be lacking. If "
        "winter feeding is still going on, sample where feeding is over.",
        "Not estimated: lime that comes late works late.",
        part="ground",
        how_much=severe,
    )
    yield task(
        "seed_perennials",
        f"Seed {amount(acres)} acres to perennial grass",
        dated,
        "After rain, into a firm seedbed, with what fits the ground. Where hay will be fed again "
        "next winter an annual is enough.",
        "Not estimated: each week later, more seedlings go into frost too small.",
        part="ground",
        how_much=severe,
    )
