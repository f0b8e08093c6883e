"""Hay: what is needed, what to buy by when, and how many bales should be left on two days."""

from collections.abc import Iterator

from service.costing.units import DAYS_BEFORE_GRASS, NEGLIGIBLE, POUNDS_PER_TON
from service.costing.wording import count
from service.season.plan.anchors import winter_begins
from service.season.plan.dated import ahead_of
from service.season.plan.records import Checkpoint, HayPlan
from service.season.subject import SeasonSubject


def hay_plan(subject: SeasonSubject) -> HayPlan | None:
    """Return the balance of bales with its days; None where the system feeds no hay."""
    bales = subject.result["quantities"]["bales"]
    if bales["needed_worst"] <= NEGLIGIBLE:
        return None
    hay = subject.scenario.hay
    tons_per_bale = hay.bale_weight_lb / POUNDS_PER_TON
    per_ton, per_bale = hay.price_per_ton, hay.price_per_bale
    if per_bale is None:
        per_bale = (per_ton or 0.0) * tons_per_bale
    else:
        per_ton = per_bale / tons_per_bale
    return HayPlan(
        bales_needed=bales["needed_mean"],
        bales_needed_worst=bales["needed_worst"],
        bales_on_hand=bales["on_hand"],
        bales_to_buy=bales["to_buy_mean"],
        bales_to_buy_worst=bales["to_buy_worst"],
        tons_to_buy=bales["to_buy_mean"] * tons_per_bale,
        price_per_ton=per_ton or 0.0,
        price_per_bale=per_bale,
        cost=bales["to_buy_mean"] * per_bale,
        buy_by=ahead_of(winter_begins(subject), "lead.buy_hay", "").day,
        checkpoints=tuple(_checkpoints(subject)),
    )


def _checkpoints(subject: SeasonSubject) -> Iterator[Checkpoint]:
    bales = subject.result["quantities"]["bales"]
    left = bales["left_half_way"]
    yield Checkpoint(
        "half_way",
        subject.season.half_way,
        left,
        f"Half way: about {count(left)} bales should be left.",
    )
    day = subject.season.evening_with(DAYS_BEFORE_GRASS)
    if day is not None:
        left = bales["left_30_days_before_grass"]
        words = f"{DAYS_BEFORE_GRASS} days before grass: about {count(left)} bales should be left."
        yield Checkpoint("days_before_grass", day, left, words)
