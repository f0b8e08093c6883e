"""The wall card: for each state of the ground, who eats what, where, and when to stop."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.json_shapes import is_object
from service.costing.units import STATES
from service.costing.wording import amount, count, listed, spoken
from service.web.pages.wording import title_of

Document = Mapping[str, Any]

LEAST_DAYS = 0.05
WORST = "wet"
GROUND = {
    "frozen": "Frozen hard",
    "snow_covered": "Under snow",
    "firm": "Thawed, bears hoof and wheel",
    "wet": "Soft: wheels leave ruts",
}
FEED = {
    "stockpile_grazing": "grass shut in late summer",
    "bale_grazing": "bales set out before winter",
    "sacrifice_lot": "hay on the lot",
    "feeding_pad": "hay on the pad",
    "bedded_pack": "hay in the barn, on bedding",
    "unrolled_hay": "hay rolled out on fresh ground",
}
PUT = {
    "bales_in_place": "where they stand",
    "bunk": "in a bunk",
    "no_feeder": "without a feeder",
    "ring_cone": "in rings with a cone",
    "ring_open": "in open rings",
    "ring_solid_bottom": "in rings with a solid bottom",
    "sheep_rack": "in sheep racks",
    "unrolled_daily": "a day's hay at a time",
    "unrolled_several_days": "several days' hay at a time",
}


@dataclass(frozen=True, slots=True)
class CardStep:
    """What to do with some of the animals."""

    who: str
    where: str
    feed: str
    stop: str


@dataclass(frozen=True, slots=True)
class GroundCard:
    """What to do on one state of the ground."""

    title: str
    days: str
    """In a mean winter."""
    steps: list[CardStep]


def wall_card(costing: Document, system: Document) -> list[GroundCard]:
    """Return what a system does on each state of the ground that a winter has."""
    days = costing["winter"]["ground_days"]
    return [
        GroundCard(GROUND[state], f"{days[state]:.0f}", list(_steps(costing, system, state)))
        for state in STATES
        if days[state] >= LEAST_DAYS
    ]


def _steps(costing: Document, system: Document, state: str) -> Iterator[CardStep]:
    inputs = costing["inputs_used"]
    plan = inputs["systems"][system["system"]]["plan"]
    served = system["quantities"]["served_days"]
    for step in plan:
        if served.get(step["key"], {}).get(state, 0) >= LEAST_DAYS:
            yield CardStep(
                who=_who(inputs["herd"], step),
                where=_where(inputs, inputs["systems"][system["system"]], step),
                feed=_feed(step),
                stop=_stop(step, plan),
            )


def _who(herd: Document, step: Document) -> str:
    groups = step.get("groups") or list(herd)
    who = "all" if len(groups) == len(herd) else listed(title_of(herd, key) for key in groups)
    share = step.get("share_of_herd", 1)
    return who if share == 1 else f"{share:.0%} of {who}"


def _where(inputs: Document, system: Document, step: Document) -> str:
    if step.get("structure"):
        return title_of(system.get("structures", {}), step["structure"])
    return title_of(inputs["land"].get("fields", {}), step["field"]) if step.get("field") else "-"


def _feed(step: Document) -> str:
    words = FEED.get(step["method"], spoken(step["method"]))
    put = step.get("presentation")
    if isinstance(put, str):
        return f"{words}, {PUT.get(put, spoken(put))}"
    if is_object(put):
        ways = listed(PUT.get(way, spoken(way)) for way in put.values())
        return f"{words}, {ways}"
    return words


def _stop(step: Document, plan: Sequence[Document]) -> str:
    """Say when the step ends: its ground, its spell, its most days, and what it lives on."""
    rules: list[str] = []
    states = step.get("ground_states")
    if states and WORST not in states:
        rules.append("off as soon as the ground goes soft")
    elif states:
        rules.append(f"only on ground that is {listed(spoken(state) for state in states)}")
    if step.get("min_spell_days", 1) > 1:
        rules.append(f"only in spells of {amount(step['min_spell_days'])} days or more")
    if step.get("max_days") is not None:
        rules.append(f"at most {amount(step['max_days'])} days")
    if step["method"] == "stockpile_grazing":
        rules.append(f"until the {amount(step['acres'])} acres are grazed off")
    if step["method"] == "bale_grazing":
        rules.append(f"until the {count(step['bales_set_out'])} bales are eaten")
    if step.get("days_per_move") is not None:
        rules.append(f"move the wire every {amount(step['days_per_move'])} days")
    if step.get("hours_on_method", 24) < 24:  # noqa: PLR2004 - hours of a day
        rules.append(f"{amount(step['hours_on_method'])} hours a day, then back to rest")
    if not rules:
        rules.append(
            "to the end of winter" if step is plan[-1] or len(plan) == 1 else "as long as needed"
        )
    return "; ".join(rules)
