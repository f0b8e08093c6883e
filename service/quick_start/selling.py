"""Selling down to what the grass carries, where it was asked for."""

from math import ceil
from typing import Any

from service.costing.units import POUNDS_PER_ANIMAL_UNIT
from service.costing.wording import amount
from service.quick_start.figures import stand_in
from service.quick_start.herd import COWS, animal_units
from service.quick_start.marks import Worked, guess
from service.quick_start.setting import Offer, Setting
from service.quick_start.steps import WISHES
from service.quick_start.today import today

FEWER = "fewer_cows"


def margin() -> dict[str, Any]:
    """Return what a cow earns in a year before the winter is paid for."""
    return {
        COWS: {
            "sold_per_head": guess("calves_sold", WISHES),
            "weight_lb": guess("calf_weight", WISHES),
            "price_per_lb": guess("calf_price", WISHES),
            "other_costs_per_head": guess("other_costs_per_cow", WISHES),
        }
    }


def fewer(setting: Setting) -> Offer | None:
    """Return today's way with fewer cows, or None where it was not asked for or cannot be."""
    if not setting.answers.says_yes(WISHES, "fewer"):
        return None
    herd = setting.document["herd"]
    if COWS not in herd:
        setting.draft.note("systems", "Selling down is looked at for cows only.")
        return None
    carried, sold = _sold(setting)
    if sold < 1:
        setting.draft.note("systems", f"The grass carries {amount(carried)} AU: nothing to sell.")
        return None
    system = today(setting).system
    system["title"] = f"Today's way with {sold} cows fewer"
    system["herd_change"] = {
        COWS: {
            "head": Worked(
                -float(sold),
                f"The fields named carry about {amount(carried)} AU the year round; the herd is "
                f"{amount(animal_units(herd))}.",
            ),
            "price_per_head": guess("cow_price", WISHES),
        }
    }
    system["margin"] = margin()
    setting.draft.need(
        "Selling down was reckoned on the fields named alone; grass elsewhere carries more."
    )
    return Offer(FEWER, "You asked to look at selling down to what the grass carries.", system)


def _sold(setting: Setting) -> tuple[float, int]:
    """Return the animal units that the grass carries, and the cows sold to come down to that."""
    herd, fields = setting.document["herd"], setting.document["land"]["fields"].values()
    grown = sum(field["acres"] * field["forage_yield_ton_dm_per_acre"] for field in fields)
    carried = grown * stand_in("grass_eaten").number / stand_in("eaten_per_au").number
    over = animal_units(herd) - carried
    sold = ceil(over * POUNDS_PER_ANIMAL_UNIT / herd[COWS]["body_weight_lb"])
    return carried, min(sold, int(herd[COWS]["head"]) - 1)
