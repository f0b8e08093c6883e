"""Other systems that suit the farm, each with the reason why it is in the list."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from service.costing.reference.table import load_edition, newest_edition
from service.costing.units import POUNDS_PER_TON
from service.costing.wording import amount, listed
from service.quick_start.built import (
    FEEDERS,
    RACK,
    feeders_of_today,
    feeders_told,
    floor,
    floor_of_today,
    manure_store,
    mound,
    new_feeders,
    waterer_if_none,
    waterers,
    wire,
)
from service.quick_start.farmstead import HAY, SMALL
from service.quick_start.figures import stand_in
from service.quick_start.herd import animal_units
from service.quick_start.land import paced_area
from service.quick_start.setting import BETTER, SHEEP, Offer, Setting
from service.quick_start.steps import CARRIES, WISHES, bales_set_out, grass, in_barn, lot, on_pad
from service.quick_start.today import acres_shut, today

BALE_LIMIT = "bale_grazing.hay_limit_ton_per_acre"
DRY = "raised_covered"
IN_BARN = "barn"


def offers(setting: Setting) -> Iterator[Offer]:
    """Yield the systems that suit, that of today left out."""
    yield _better(setting)
    if setting.answers.number("land", "spare_acres"):
        yield _grass_first(setting)
    by_the_ground = _by_the_ground(setting)
    if by_the_ground:
        yield by_the_ground
    yield _pad(setting)
    if why := _why_a_barn(setting):
        yield _barn(setting, why)


def _better(setting: Setting) -> Offer:
    """Return what the farm does now with better feeders and dry hay."""
    system = deepcopy(today(setting).system)
    for step in system["plan"]:
        fed = step.get("presentation")
        if fed in BETTER:
            step["presentation"] = RACK if step["key"] == SHEEP else BETTER[fed]
            for key in [FEEDERS[fed][0]] if fed in FEEDERS else []:
                system["structures"].pop(key, None)
            system["structures"] |= new_feeders(step["presentation"])
    _keep_dry(setting, system)
    same = system == today(setting).system
    system["title"] = "The same, better feeders, hay kept dry"
    why = "The cheap fix: less hay trampled and less rotted, whatever else is done."
    if same:
        why = "Your feeders and your hay store are the better ones already; nothing to add."
    return Offer("better_feeders", why, system)


def _keep_dry(setting: Setting, system: dict[str, Any]) -> None:
    """Put the hay of a system under cover, unless it is in a barn now."""
    if setting.document["hay"]["storage"] != IN_BARN:
        system["hay_storage"] = DRY
        system["structures"]["hay_floor"] = {
            "kind": "hay_storage",
            "title": "Rock floor and tarps for hay",
        }


def _completed(
    setting: Setting, title: str, plan: list[dict[str, Any]], structures: dict[str, Any]
) -> dict[str, Any]:
    """Return a system with sheep beside, dry hay and what is there already."""
    system: dict[str, Any] = {"title": title, "plan": plan, "structures": structures}
    if setting.beside:
        racks = feeders_told(setting.answers, RACK)
        plan.append(lot(SHEEP, setting.beside, RACK, setting.ground.quiet))
        there = feeders_of_today(setting.answers, RACK)
        system["structures"] |= new_feeders(RACK) if racks == 0 else there
    system["structures"] |= waterers(setting.answers)
    _keep_dry(setting, system)
    return system


def _feeders(setting: Setting) -> dict[str, Any]:
    """Return the better feeders: those of today where they are so already, else new ones."""
    if setting.better == setting.presentation:
        return feeders_of_today(setting.answers, setting.better) or new_feeders(setting.better)
    return new_feeders(setting.better)


def _grass_first(setting: Setting) -> Offer:
    acres = acres_shut(setting)
    titles = [setting.ground.fields[key]["title"] for key in acres]
    plan = [
        *grass(setting.main, setting.first_day, acres, nitrogen=True),
        setting.lot(setting.better),
    ]
    system = _completed(
        setting, "Shut grass in August, graze it first", plan, _feeders(setting) | wire()
    )
    spare = setting.answers.number("land", "spare_acres") or 0.0
    why = f"You could spare {amount(spare)} acres: {listed(titles)}."
    return Offer("grass_first", why, system)


def _by_the_ground(setting: Setting) -> Offer | None:
    """Return bales on dry ground where it carries them, and the lot on soft days."""
    dry = setting.ground.dry
    if dry is None:
        return None
    if setting.answers.get(HAY, "bale_size") == SMALL:
        setting.draft.note("systems", "Bales set out on grass are left out: yours are small.")
        return None
    days = setting.document["winter"]["ground_days"]
    whole = sum(days.values())
    carried = sum(days[state] for state in CARRIES) / whole if whole else 0.0
    field = setting.ground.fields[dry]
    bales = min(setting.bales * carried, _most_bales(setting, field["acres"]))
    if bales < 1:
        return None
    step = {
        **bales_set_out(setting.main, dry, field["acres"], bales),
        "ground_states": list(CARRIES),
    }
    plan, structures = [step], _feeders(setting) | wire()
    if paced_area(setting.answers, "pad"):
        plan.append(on_pad(setting.main, setting.better, rests_on_mound=True))
        place = setting.ground.to_build_on
        structures |= floor_of_today(setting.answers, "pad", "gravel_pad", place) | mound(place)
    system = _completed(
        setting,
        "Feed where the ground will carry it",
        [*plan, setting.lot(setting.better)],
        structures,
    )
    why = f"{field['title']} drains well: bales can stand there while the ground is hard."
    return Offer("by_the_ground", why, system)


def _most_bales(setting: Setting, acres: float) -> float:
    """Return the bales that a field takes in a mild, wet winter without harm [bale]."""
    hay = setting.document["hay"]
    limit = float(load_edition(newest_edition()).row(BALE_LIMIT).usual)
    return acres * limit * POUNDS_PER_TON / (hay["bale_weight_lb"] * hay["dry_matter_fraction"])


def _pad(setting: Setting) -> Offer:
    answers, place = setting.answers, setting.ground.to_build_on
    there = setting.picture == "pad"
    pad = floor(answers, "pad", "gravel_pad", place, used_today=there)
    paced = paced_area(answers, "pad")
    plan = [on_pad(setting.main, setting.better, rests_on_mound=True)]
    structures = {
        **pad,
        **mound(place),
        "strip": {"kind": "treatment_strip", "title": "Grass strip below the pad", "field": place},
        **_feeders(setting),
        **waterer_if_none(answers, "pad_drinker", place),
        **manure_store(answers),
    }
    title = "Your pad, enlarged" if paced else "Rock pad, no roof"
    if there and not paced:
        title = "Your pad, with a mound and a grass strip"
    why = "Hard ground under the feed, so that soft days do not cost grass and hay."
    if paced:
        why = f"You have {amount(paced.value)} sq ft of pad; it is made as large as the herd needs."
    if setting.ground.fields[place]["tenure"] == "rented":
        setting.draft.need("All ground is rented: what is built needs the landlord's written yes.")
    return Offer("rock_pad", why, _completed(setting, title, plan, structures))


def _why_a_barn(setting: Setting) -> str | None:
    """Return why a barn is looked at, or None if it is not."""
    asked = setting.answers.says_yes(WISHES, "barn")
    if asked:
        return "You asked for a barn with bedding."
    if setting.picture == "barn" or paced_area(setting.answers, "barn"):
        return "You have a barn."
    au, least = animal_units(setting.document["herd"]), stand_in("bedded_pack_from").number
    if asked is None and au > least:
        return f"The herd is {amount(au)} animal units; from about {amount(least)} a barn may pay."
    return None


def _barn(setting: Setting, why: str) -> Offer:
    answers, place = setting.answers, setting.ground.to_build_on
    plan = [in_barn(setting.main, setting.in_barn)]
    structures = {
        **floor(answers, "barn", "pack_floor", place, used_today=setting.picture == "barn"),
        **waterer_if_none(answers, "barn_drinker", place),
        **manure_store(answers),
    }
    return Offer(
        "bedded_pack", why, _completed(setting, "Barn with a bedded pack", plan, structures)
    )
