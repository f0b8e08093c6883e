"""Steps of the plans: who is fed where, and how."""

from math import sqrt
from typing import Any

from service.costing.formulas.stages import days_between
from service.costing.units import SQUARE_FEET_PER_ACRE
from service.quick_start.calendar_days import shifted, spoken_day
from service.quick_start.figures import stand_in
from service.quick_start.marks import Guessed, Mark, Worked, guess, value_of

Step = dict[str, Any]

FEEDING, LAND, WISHES = "feeding", "land", "wishes"
CARRIES = ["frozen", "snow_covered", "firm"]
MOST_BALES = 100_000
CLOSEST_FT = 8.0
LATEST_TO_START = 150
"""Days after the end of growth by which a winter has begun, or it is not a northern one."""


def lot(key: str, groups: list[str], presentation: str, field: str) -> Step:
    """Return the step of hay on a lot."""
    return {
        "key": key,
        "method": "sacrifice_lot",
        "groups": groups,
        "presentation": presentation,
        "field": field,
    }


def unrolled(key: str, groups: list[str], field: str) -> Step:
    """Return the step of hay rolled out."""
    return {
        "key": key,
        "method": "unrolled_hay",
        "groups": groups,
        "presentation": "unrolled_daily",
        "field": field,
    }


def on_pad(groups: list[str], presentation: str, *, rests_on_mound: bool) -> Step:
    """Return the step of hay on a pad."""
    step: Step = {
        "key": "pad",
        "method": "feeding_pad",
        "groups": groups,
        "structure": "pad",
        "presentation": presentation,
    }
    if rests_on_mound:
        step |= {"hours_on_method": guess("hours_on_pad", WISHES), "resting_place": "mound"}
    return step


def in_barn(groups: list[str], presentation: str) -> Step:
    """Return the step of hay in a barn on a pack."""
    return {
        "key": "barn",
        "method": "bedded_pack",
        "groups": groups,
        "structure": "barn",
        "presentation": presentation,
    }


def bales_set_out(groups: list[str], field: str, acres: float, bales: float) -> Step:
    """Return the step of bales set out on a field, as far apart as it has room for."""
    count = float(max(1, min(MOST_BALES, round(bales))))
    wide = stand_in("bale_spacing").number
    room = sqrt(acres * SQUARE_FEET_PER_ACRE / count)
    spacing: Mark = guess("bale_spacing", FEEDING)
    if room < wide:
        spacing = Worked(
            max(CLOSEST_FT, round(room, 1)), f"{count:.0f} bales on {acres:.4g} acres of the field."
        )
    return {
        "key": "bales",
        "method": "bale_grazing",
        "groups": groups,
        "presentation": "bales_in_place",
        "field": field,
        "bales_set_out": Worked(count, "The hay of those days, over the weight of a bale."),
        "spacing_ft": spacing,
        "days_per_move": guess("days_per_move", FEEDING),
        "years_between_uses": guess("years_between_uses", FEEDING),
    }


def grass(
    groups: list[str], first_day: str, acres: dict[str, Mark], *, nitrogen: bool
) -> list[Step]:
    """Return the steps of grass shut in late summer, one for each field."""
    closing, dormancy = _shut(first_day)
    return [
        {
            "key": "grass" if number == 1 else f"grass_{number}",
            "method": "stockpile_grazing",
            "groups": groups,
            "field": field,
            "acres": part,
            "closing_date": closing,
            "dormancy_date": dormancy,
            "nitrogen_lb_per_acre": guess("stockpile_nitrogen", LAND) if nitrogen else None,
            "days_per_move": guess("days_per_move", LAND),
        }
        for number, (field, part) in enumerate(acres.items(), start=1)
    ]


def _shut(first_day: str) -> tuple[Mark, Mark]:
    """Return the days of closing and dormancy: in another season than ours, before that winter."""
    closing, dormancy = guess("closing_date", LAND), guess("dormancy_date", LAND)
    if _is_northern(first_day, dormancy):
        return closing, dormancy
    days = stand_in("days_shut").number
    return (
        Worked(shifted(first_day, -days), f"{days:.0f} days before hay is fed."),
        Worked(first_day, f"The day on which hay is first fed: {spoken_day(first_day)}."),
    )


def _is_northern(first_day: str, dormancy: Guessed) -> bool:
    earliest = dormancy.low if isinstance(dormancy.low, str) else value_of(dormancy)
    return days_between(shifted(earliest, -31), first_day) <= LATEST_TO_START
