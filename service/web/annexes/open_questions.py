"""For the engineer: what nobody knows yet, what this is not, and what to mind before building."""

from service.costing.reference.setbacks import place_called
from service.web.annexes.annex import Block, Item, stated, unknown
from service.web.annexes.subject import AnnexSubject

SITE_FACTS = {
    "depth_to_water": "depth to water",
    "depth_to_rock": "depth to rock",
    "test_pits": "soil test pits",
    "flood_plain": "flood plain",
    "wetland": "wetland",
    "karst": "karst, sinkholes",
    "wells": "wells within 300 ft",
    "power": "power at the site",
    "road_access": "road access",
    "snow_load": "snow load",
    "wind_load": "wind load",
    "wind": "prevailing wind",
    "neighbors": "neighbors' houses",
    "expansion": "expansion wanted",
    "jurisdiction": "state and county rules",
}
NOT_INCLUDED = {
    "structural_design": "structural design",
    "geotechnical": "geotechnical work",
    "erosion_plan": "erosion and sediment plan",
    "permits": "permits",
    "nutrient_plan": "nutrient management plan",
    "survey": "field survey and staking",
}
BEFORE_BUILDING = (
    "licensed_engineer",
    "snow_and_wind_on_roofs",
    "call_before_digging",
    "wetland_flood_plain_permits",
    "setbacks_not_checked",
    "setbacks_to_confirm",
    "confined_45_days",
    "landlord_consent",
    "cost_share_contract",
    "wells",
    "manure_gas",
    "stray_voltage",
    "winter_spreading",
    "slope",
)
"""Cautions that speak to whoever designs; the page of the farm has all of them."""


def site_block(subject: AnnexSubject) -> Block:
    """Return the facts of the site that a design needs and nobody gave."""
    items = [
        unknown(line, f"{title}: {_rules(subject)}" if line == "jurisdiction" else title)
        for line, title in SITE_FACTS.items()
    ]
    return Block("site", "Site facts not known", items, shape="names", half=True)


def _rules(subject: AnnexSubject) -> str:
    """Return what is known of the rules of the place: never all of them."""
    land = subject.scenario.land
    if land.place is not None:
        return f"a table of {place_called(land.place).title} was looked up, not confirmed"
    if land.setback_ft is not None:
        return "one distance by the farm's own reading, not confirmed"
    return "none chosen, no setback checked"


def not_included_block(subject: AnnexSubject) -> Block:
    """Return what this annex is not."""
    del subject
    items = [stated(line, title, "not included") for line, title in NOT_INCLUDED.items()]
    remark = (
        "Local codes, and the design, seal and site visit of licensed people, go before anything "
        "that stands here."
    )
    return Block("not_included", "Not included", items, shape="names", remark=remark, half=True)


def cautions_block(subject: AnnexSubject, wanted: tuple[str, ...] = BEFORE_BUILDING) -> Block:
    """Return the cautions that the system triggers, as far as they are the reader's."""
    items = [
        Item(
            line=found["caution"],
            title="Must" if found["rank"] == "must" else "Mind",
            value=found["sentence"],
            origin="stated",
            source=_source(subject, found["source"]),
            mark="",
            note=found["trigger"],
        )
        for found in subject.shown["cautions"]
        if found["caution"] in wanted
    ]
    return Block("cautions", "Before anything is built", items, shape="texts")


def _source(subject: AnnexSubject, key: str) -> str:
    source = subject.edition.sources.get(key)
    return "" if source is None else source.in_words
