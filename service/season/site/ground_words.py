"""What slope, drainage and distance to water mean for feeding there, in words."""

from collections.abc import Iterable, Iterator

from service.costing.caution_table import caution_table
from service.costing.farm import Field
from service.costing.reference.setbacks import Setback
from service.costing.triggers.setback_checks import feet
from service.costing.wording import amount

DRAINAGE = {
    "well": "Soil drains well: it bears soonest after rain, and what leaches goes down.",
    "moderate": "Soil drains moderately: expect mud in a wet spell.",
    "poor": "Soil drains poorly: mud stays longest here, and rain runs off.",
}


def remarks_of(field: Field, setbacks: Iterable[Setback], near_water_ft: float) -> tuple[str, ...]:
    """Return what is to be said of a field: slope, soil, water.

    Parameters
    ----------
    field : Field
        As the scenario describes it.
    setbacks : iterable of Setback
        Those of the chosen place that speak of what is done there.
    near_water_ft : float
        What counts as near water [ft].
    """
    return (
        *_slope(field.slope_percent, setbacks),
        DRAINAGE[field.drainage],
        _water(field.distance_to_water_ft, near_water_ft),
    )


def _slope(slope: float | None, setbacks: Iterable[Setback]) -> Iterator[str]:
    if slope is None:
        yield "Slope is not given: walk it before choosing where to feed."
        return
    said = f"Slope {amount(slope)} %"
    caution = caution_table()["slope"]
    if slope > caution.limit:
        yield (
            f"{said}, over {caution.limit:g} %: bales roll, machines tip and water runs (the limit "
            "is our assumption)."
        )
    else:
        yield f"{said}."
    named: dict[float, Setback] = {}
    for setback in setbacks:
        if setback.slope_limit_percent is not None:
            named.setdefault(setback.slope_limit_percent, setback)
    for limit, setback in named.items():
        compared = "over" if slope > limit else "not over"
        yield (
            f"{compared.capitalize()} the {amount(limit)} % that {setback.place_title} names: "
            f"{setback.conditions}"
        )


def _water(distance: float | None, near_water_ft: float) -> str:
    if distance is None:
        return (
            "The distance to water is not given: no setback can be held against it, and what falls "
            "here is not counted as near water."
        )
    near = "near" if distance < near_water_ft else "not near"
    return (
        f"The nearest stream, pond, sinkhole or well is {feet(distance)} away: {near} water, as "
        f"counted here (under {feet(near_water_ft)})."
    )
