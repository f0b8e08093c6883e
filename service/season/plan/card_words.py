"""The words of the morning card."""

from collections.abc import Iterable, Mapping
from typing import Any

from service.costing.json_shapes import is_object
from service.costing.triggers.facts import SHEEP
from service.costing.wording import listed, named, share, spoken

Document = Mapping[str, Any]

GROUND = {
    "frozen": "Frozen hard",
    "snow_covered": "Under snow",
    "firm": "Thawed, bears hoof and wheel",
    "wet": "Soft: wheels leave ruts",
}
TELL = {
    "frozen": "A screwdriver pushed by hand does not go in, and a heel leaves no mark.",
    "snow_covered": "Snow lies where you would drive. Scrape it off and try a heel: go by the "
    "prints if it is soft underneath.",
    "firm": "A screwdriver goes in. A heel dents the sod, does not sink, and no water comes up.",
    "wet": "A heel sinks in, or water stands in its print.",
}
"""Common practice, no source."""

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
LAND = {"pasture": "pasture", "sacrifice_lot": "the lot"}
"""Resting places that are not structures."""

MORNING = {
    "lone_work": "Nobody alone without a phone, and somebody who knows when you are due back. "
    "Bulls and new mothers attack: have a way out.",
    "loader_and_bales": "Loader: roll bar, belt, load low, nobody near a raised bale.",
    "slope": "Steep ground: bale uphill of you and low, no turning across. Ice or mud: feed "
    "elsewhere.",
    "manure_gas": "Manure gas kills: never into a pit or tank, all out while it is stirred.",
    "ice": "Stock and people stay off ice. See that they can drink.",
    "snow_and_wind_on_roofs": "Deep snow, or a roof that creaks: everyone out from under it.",
    "electric_fence": "Look along wire and netting for caught stock. Heart device: keep off.",
    "young_workers": "Children away from machines and stock.",
    "suffering_not_in_money": "Thin, lame, wet through or slow to rise: call the vet.",
    "toxic_fescue": "Cold spell on fescue: look at feet. First limp: off the grass, call the vet.",
    "nitrate_and_prussic_acid": "After a drought never turn hungry stock onto grass not tested.",
    "calving_and_lambing_ground": "Births on clean, dry ground, away from older young.",
    "net_wrap_and_twine": "All wrap and twine off, and home with you.",
    "listeria_and_botulism": "Spoiled or torn bales are not fed.",
    "whole_bales_and_sheep": "No bale that can fall on sheep.",
    "copper_and_sheep": "No cattle mineral within reach of sheep.",
    "stray_voltage": "Stock that balk at the waterer: have the voltage measured.",
}
"""Cautions that belong to a morning, shortened; what endangers people first."""


def who(herd: Document, step: Document) -> str:
    """Return which animals are on a step: a kind as a whole by its name, else group by group."""
    groups = groups_on(herd, step)
    kinds = {group: herd[group]["animal"] in SHEEP for group in herd}
    alike = {kinds[group] for group in groups}
    words = listed(named(herd[group].get("title"), group) for group in groups)
    if len(groups) == len(herd) > 1:
        words = "all animals" if len(set(kinds.values())) > 1 else _all_of(kinds[groups[0]])
    elif len(groups) > 1 and len(alike) == 1:
        of_kind = [group for group in herd if kinds[group] in alike]
        words = _all_of(kinds[groups[0]]) if len(of_kind) == len(groups) else words
    part = step.get("share_of_herd", 1)
    return words if part == 1 else f"{share(part)} of {words}"


def _all_of(is_sheep: bool) -> str:  # noqa: FBT001 - one of two kinds
    return "all sheep" if is_sheep else "all cattle"


def groups_on(herd: Document, step: Document) -> list[str]:
    """Return the groups of a step; all where it names none."""
    return list(step.get("groups") or herd)


def where(inputs: Document, system: Document, step: Document) -> str:
    """Return the place where a step feeds, as the farm calls it."""
    if step.get("structure"):
        return _title(system.get("structures", {}), step["structure"])
    if step.get("field"):
        return _title(inputs["land"].get("fields", {}), step["field"])
    return spoken(step["method"])


def resting_place(inputs: Document, system: Document, step: Document) -> str:
    """Return where animals rest for the other hours of the day; empty where it is not said."""
    place = step.get("resting_place")
    if place is None:
        return ""
    if place in LAND:
        field = step.get("resting_field")
        return _title(inputs["land"].get("fields", {}), field) if field else LAND[place]
    return _title(system.get("structures", {}), place)


def feed(step: Document) -> str:
    """Return what a step feeds and how it is put before the animals."""
    words = FEED.get(step["method"], spoken(step["method"]))
    put = step.get("presentation")
    if isinstance(put, str):
        return f"{words}, {_put([put])}"
    return f"{words}, {_put(put.values())}" if is_object(put) else words


def _put(ways: Iterable[str]) -> str:
    return listed(PUT.get(way, spoken(way)) for way in ways)


def _title(items: Document, key: str) -> str:
    item: Document = items.get(key) or {}
    return named(item.get("title"), key)
