"""Structures of the systems: what stands there already, and what a way of feeding needs."""

from typing import Any

from service.costing.wording import count
from service.quick_start.answers import Answers
from service.quick_start.land import DAMAGE, paced_area
from service.quick_start.marks import Given, guess

Structures = dict[str, Any]

FEEDERS = {
    "ring_open": ("rings", "Open rings"),
    "ring_solid_bottom": ("rings", "Rings with a solid bottom"),
    "ring_cone": ("rings", "Rings with a cone"),
    "bunk": ("bunks", "Bunks"),
    "sheep_rack": ("racks", "Sheep racks"),
}
"""Key and title of the feeders that go with a way of putting hay before animals."""

RACK = "sheep_rack"


def feeders_told(answers: Answers, presentation: str) -> float | None:
    """Return the feeders that are there, None where nobody counted them [piece]."""
    return answers.number(DAMAGE, "sheep_racks" if presentation == RACK else "feeders")


def feeders_of_today(answers: Answers, presentation: str) -> Structures:
    """Return the feeders that are there; as many as are needed where nobody counted them."""
    if presentation not in FEEDERS:
        return {}
    key, title = FEEDERS[presentation]
    told = feeders_told(answers, presentation)
    if told == 0:
        return {}
    return {
        key: {
            "kind": "feeder",
            "title": title,
            "count": None if told is None else Given(told),
            "existing": True,
            "remaining_life_years": guess("feeders_life", DAMAGE),
        }
    }


def new_feeders(presentation: str) -> Structures:
    """Return feeders to be bought, as many as the rule says."""
    if presentation not in FEEDERS:
        return {}
    key, title = FEEDERS[presentation]
    return {key: {"kind": "feeder", "title": title}}


def waterers(answers: Answers) -> Structures:
    """Return the waterers that are there."""
    told = answers.number(DAMAGE, "waterers")
    if not told:
        return {}
    return {
        "drinker": {
            "kind": "waterer",
            "title": f"{count(told)} waterers" if told > 1 else "Waterer",
            "count": Given(told),
            "existing": True,
            "remaining_life_years": guess("waterer_life", DAMAGE),
        }
    }


def waterer_if_none(answers: Answers, key: str, field: str) -> Structures:
    """Return a waterer for a new place to feed where the farm has none."""
    if answers.number(DAMAGE, "waterers"):
        return {}
    return {key: {"kind": "waterer", "title": "Waterer where they feed", "field": field}}


def manure_store(answers: Answers) -> Structures:
    """Return the manure storage that is there."""
    if not answers.says_yes(DAMAGE, "manure_storage"):
        return {}
    return {
        "store": {
            "kind": "manure_storage",
            "title": "Manure storage",
            "storage_days": guess("storage_days", DAMAGE),
            "existing": True,
            "remaining_life_years": guess("store_life", DAMAGE),
        }
    }


def floor(answers: Answers, what: str, kind: str, field: str, *, used_today: bool) -> Structures:
    """Return a pad or a barn: that of today enlarged where it is too small, or a new one."""
    area = paced_area(answers, what)
    life = guess(f"{what}_life", DAMAGE)
    structure: dict[str, Any] = {"kind": kind, "field": field}
    if area is not None:
        structure |= {"existing_area_sqft": area, "remaining_life_years": life}
    elif used_today:
        structure |= {"existing": True, "remaining_life_years": life}
    return {what: structure}


def floor_of_today(answers: Answers, what: str, kind: str, field: str) -> Structures:
    """Return a pad or a barn as it is."""
    return {
        what: {
            "kind": kind,
            "field": field,
            "area_sqft": paced_area(answers, what),
            "existing": True,
            "remaining_life_years": guess(f"{what}_life", DAMAGE),
        }
    }


def mound(field: str) -> Structures:
    """Return a mound to lie on."""
    return {"mound": {"kind": "mound", "title": "Mound", "field": field}}


def wire() -> Structures:
    """Return what grass and bales are fenced with."""
    return {
        "wire": {
            "kind": "fence",
            "title": "Energizer and portable wire",
            "price": guess("wire_price", DAMAGE),
        }
    }
