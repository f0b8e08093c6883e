"""What a farm's own figures are, in words."""

from collections.abc import Sequence

from service.costing.wording import amount, listed, share, spoken
from service.season.figures import figure_of
from service.season.own_figures.ratios import Told
from service.season.own_figures.records import Kind, LeftOut, OwnValue
from service.season.own_figures.shrinkage import ENOUGH_TO_SPREAD, Shrunk
from service.season.own_figures.starting import HAY_WASTE, Starting, in_use
from service.season.own_figures.waste import TOO_LITTLE

TITLES: dict[Kind, str] = {
    "waste": "Hay wasted",
    "minutes": "Chore time",
    "damage": "Ground damaged",
}
SAYING: dict[Kind, str] = {
    "waste": "{times} times as much hay is wasted as the tables have it",
    "minutes": "chores take {times} times as long as the tables have it",
    "damage": "{times} times as much ground is damaged as {reference}",
}
NOBODY: dict[Kind, str] = {
    "waste": "how much hay is wasted",
    "minutes": "how long chores take",
    "damage": "how much ground is damaged",
}
FED: dict[str, str] = {
    "bales_in_place": "fed where the bales stand",
    "bunk": "fed in a bunk",
    "no_feeder": "fed without a feeder",
    "ring_cone": "put in rings with a cone",
    "ring_open": "put in open rings",
    "ring_solid_bottom": "put in rings with a solid bottom",
    "sheep_rack": "put in sheep racks",
    "unrolled_daily": "rolled out for a day",
    "unrolled_several_days": "rolled out for several days",
}
NUMBERS = (
    "No",
    "One",
    "Two",
    "Three",
    "Four",
    "Five",
    "Six",
    "Seven",
    "Eight",
    "Nine",
    "Ten",
    "Eleven",
    "Twelve",
)

METHOD = (
    "Each recorded winter is costed again with the weather and the days of each step as they were, "
    "at the values of the tables, and the factor is sought at which the engine has what was "
    "written down: bales fed, hours, acres to fix. Values of the scenario's own are set aside for "
    "this, so that winters taken over once do not count twice. What the ground adds to waste, and "
    "the edges of pads, stay as they are; hours and acres are held against the bales that were "
    "fed. A winter whose ground is not known counts for waste and chore time on the plan's usual "
    "winter, and not for damage. The winters are then weighed against the tables: the range in the "
    "tables is taken as the middle 80 % of a log-normal, and one winter is taken to be off by what "
    "stands in the figures of the season, or by what three or more winters show where that is "
    "more (a normal mean with known variances: A. Gelman and others, Bayesian Data Analysis, 3rd "
    "ed., 2013, section 2.5, from memory). An error that is the same every winter, as bales "
    "lighter than thought, does not average out: weigh a few. The values in the patch have four "
    "significant figures. Nothing changes until the patch is sent, the whole of it or a part; what "
    "stands under land belongs to the values of trampling."
)


def said_of(
    start: Starting,
    kind: Kind,
    told: Sequence[Told],
    left_out: Sequence[LeftOut],
    found: Shrunk,
    offered: Sequence[OwnValue],
) -> str:
    """Return what the winters say of one figure, and what is offered."""
    if not offered:
        return f"No recorded winter tells {NOBODY[kind]}, so nothing is offered."
    if kind == "waste" and len(offered) == 1:
        first = _one_waste(found, offered[0])
    else:
        first = _factor(start, kind, found, offered)
    sentences = [
        first,
        *_moves_along(kind),
        *_memory(start, kind),
        *_in_use(start, kind, offered),
        *_limits(kind, told, left_out, found),
        *_clipped(found, offered),
    ]
    return " ".join(sentences)


def _one_waste(found: Shrunk, value: OwnValue) -> str:
    """Return the sentences of hay that is fed in one way, in shares of the hay."""
    way = value.path.removeprefix(f"assumptions.{HAY_WASTE}")
    mean = value.reference * (found.mean_ratio or 1.0)
    return (
        f"{_winters(found)} {_say(found)} {mean:.2f} of the hay {FED.get(way, spoken(way))} is "
        f"wasted; the tables say {value.reference:.2f}. {_counts(found)}, so {value.own:.2f} is "
        f"offered, likely between {value.low:.2f} and {value.high:.2f}."
    )


def _factor(start: Starting, kind: Kind, found: Shrunk, offered: Sequence[OwnValue]) -> str:
    """Return the sentences of several values that move together."""
    reference = "the tables have it" if start.scale is None else "is expected"
    saying = SAYING[kind].format(times=f"{found.mean_ratio or 1.0:.2f}", reference=reference)
    text = (
        f"{_winters(found)} {_say(found)} {saying}. {_counts(found)}, so {found.ratio:.2f} times "
        f"is offered, likely between {found.low:.2f} and {found.high:.2f}."
    )
    if kind != "waste":
        return text
    ways = [
        f"{value.own:.2f} of the hay {FED.get(way, spoken(way))} (tables {value.reference:.2f})"
        for value in offered
        for way in [value.path.removeprefix(f"assumptions.{HAY_WASTE}")]
    ]
    return f"{text} That is {listed(ways)}."


def _winters(found: Shrunk) -> str:
    count = found.winters
    number = NUMBERS[count] if count < len(NUMBERS) else f"{count:,}"
    return f"{number} winter{'s' * (count > 1)}"


def _say(found: Shrunk) -> str:
    return "say" if found.winters > 1 else "says"


def _counts(found: Shrunk) -> str:
    verb = "count" if found.winters > 1 else "counts"
    return f"With {_winters(found).lower()} your own {verb} for {share(found.weight)}"


def _moves_along(kind: Kind) -> list[str]:
    if kind != "minutes":
        return []
    return ["Minutes of people and of machines move alike."]


def _memory(start: Starting, kind: Kind) -> list[str]:
    if kind != "damage" or start.scale is None:
        return []
    acres = start.scenario.land.acres_repaired_last_spring or 0.0
    text = (
        f"The {amount(acres)} acres you repaired last spring are in what is expected; the values "
        f"offered carry that in them, {start.scale:.2f} times what is in use, so accepting them "
        "takes the acres out of the scenario. What other systems trample carries it as well, so "
        "that they stay as they are."
    )
    return [text]


def _in_use(start: Starting, kind: Kind, offered: Sequence[OwnValue]) -> list[str]:
    """Return what the scenario has now where that is not what the estimate started from."""
    if kind == "damage" and start.scale is not None:
        return []
    keys = [value.path.removeprefix("assumptions.") for value in offered]
    given = {key: in_use(start.scenario, key) for key in keys if key in start.scenario.assumptions}
    other = [key for key, value in given.items() if value != start.value(key)]
    if not other:
        return []
    if len(offered) == 1:
        return [f"Your scenario has {amount(given[other[0]] or 0.0)} now."]
    text = (
        f"Your scenario has {len(other)} of these {len(offered)} values from elsewhere than the "
        "tables now; accepting replaces them."
    )
    return [text]


def _limits(
    kind: Kind, told: Sequence[Told], left_out: Sequence[LeftOut], found: Shrunk
) -> list[str]:
    said: list[str] = []
    least = figure_of("own.least_ratio").usual
    floored = [item.ratio.season for item in told if item.ratio.ratio <= least]
    if floored:
        verb = "count" if len(floored) > 1 else "counts"
        said.append(f"{listed(floored)} would say less still and {verb} as {least:g} times.")
    usual = figure_of(f"own.{kind}.winter_spread").usual
    if found.winters >= ENOUGH_TO_SPREAD and found.noise_sd > usual:
        said.append("Your winters differ more than is usual, so each counts for less.")
    low = [item.season for item in left_out if item.why == TOO_LITTLE]
    if low:
        verb = "were" if len(low) > 1 else "was"
        said.append(
            f"{listed(low)} {verb} left out since less was fed than the animals are taken to eat: "
            "waste may be less than offered, or bales heavier than thought."
        )
    return said


def _clipped(found: Shrunk, offered: Sequence[OwnValue]) -> list[str]:
    clipped = [value for value in offered if value.own < value.reference * found.ratio]
    if not clipped:
        return []
    return [
        "Held at the most that the tables allow: "
        + listed(f"{value.path} at {amount(value.own)}" for value in clipped)
        + "."
    ]
