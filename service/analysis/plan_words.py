"""Plans in words: what a plan found is called."""

from service.analysis.plan_sources import Document, words_of
from service.costing.scenario import Scenario
from service.costing.units import STATES
from service.costing.wording import amount, count, listed, named, sentence, spoken

LONGEST_TITLE = 200
"""Most characters of a title in a scenario."""

GROUND = {
    "frozen": "frozen",
    "snow_covered": "snow-covered",
    "firm": "firm",
    "wet": "wet",
}

PRESENTATIONS = {
    "bunk": "bunk",
    "no_feeder": "no feeder",
    "ring_cone": "cone rings",
    "ring_open": "open rings",
    "ring_solid_bottom": "solid-bottom rings",
    "sheep_rack": "racks",
    "unrolled_several_days": "for several days",
}
"""Ways of feeding that are worth a word; the others are what the method is."""

STORAGES = {
    "barn": "in a barn",
    "gravel_uncovered": "uncovered on gravel",
    "ground_covered": "covered on the ground",
    "ground_uncovered": "uncovered on the ground",
    "raised_covered": "raised and covered",
    "wrapped": "wrapped",
}


def title_of(scenario: Scenario, steps: list[Document], floors: Document, hay: str) -> str:
    """Return what a plan is called.

    Parameters
    ----------
    scenario : Scenario
        For the titles of fields.
    steps : list of dict
        The steps that were put together.
    floors : dict
        Structures of the plan by key.
    hay : str
        Where hay is kept, if that is worth a word.
    """
    parts = [_step(scenario, step, floors) for step in steps]
    text = sentence(", then ".join(parts)) + (f"; hay {STORAGES[hay]}" if hay else "")
    return text if len(text) <= LONGEST_TITLE else f"{text[: LONGEST_TITLE - 3].rstrip()}..."


def _step(scenario: Scenario, step: Document, floors: Document) -> str:
    words = _place(scenario, step, floors)
    ground = step.get("ground_states")
    if ground:
        words += f" on {listed(GROUND[state] for state in STATES if state in ground)} ground"
    if (days := step.get("max_days")) is not None:
        words += f" for at most {amount(days)} days"
    if (share := step.get("share_of_herd")) is not None and share < 1:
        words += f" for {amount(share)} of the herd"
    several = words_of(step.get("presentation"))
    feeders = [PRESENTATIONS[word] for word in several if word in PRESENTATIONS]
    return f"{words} ({listed(feeders)})" if feeders else words


def _place(scenario: Scenario, step: Document, floors: Document) -> str:
    method = step["method"]
    key = step.get("field")
    field = named(scenario.land.fields[key].title, key) if key else ""
    if method == "stockpile_grazing":
        return f"{amount(step['acres'])} acres of grass on {field}"
    if method == "bale_grazing":
        return f"{count(step['bales_set_out'])} bales set out on {field}"
    if method == "unrolled_hay":
        return f"hay unrolled on {field}"
    if method == "sacrifice_lot":
        return f"the lot on {field}"
    return _floor(step, floors)


def _floor(step: Document, floors: Document) -> str:
    key = step["structure"]
    kind = floors[key]["kind"]
    words = "the bedded barn" if kind == "pack_floor" else f"the {spoken(kind)}"
    roofed = any(other["kind"] == "roof" and other["over"] == key for other in floors.values())
    if roofed:
        words = f"the roofed {spoken(kind)}"
    rest = step.get("resting_place")
    if rest is None:
        return words
    return f"{words} and {spoken(floors[rest]['kind'])}" if rest in floors else f"{words} by day"
