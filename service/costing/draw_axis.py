"""Which inputs can be varied on the draw axis, thousands of values in one run of the engine.

All that enter as numbers in formulas can. Those that decide on the shape of an array, on a branch,
or on words worked from them need a run of the engine for each value.
"""

import re

from service.costing.entry import KEY

_NAME = KEY.strip("^$")

ONE_AT_A_TIME = tuple(
    re.compile(pattern.replace("<name>", _NAME))
    for pattern in (
        r"assumptions\.stockpile\.tdn_fraction",
        r"finance\.horizon_years",
        r"hay\.tdn_fraction",
        r"herd\.<name>\.birth_season_days",
        r"systems\.<name>\.plan\.<name>\.(min_spell_days|hours_on_method)",
        r"winter\..*",
    )
)
"""Paths of the numbers that cannot: the years of the flows, the quality classes of hay and grass,
births spread
over days, spells, a resting place that is there or not, and the winters themselves."""


def fits_draw_axis(path: str) -> bool:
    """Whether an input can be varied on the draw axis."""
    return not any(pattern.fullmatch(path) for pattern in ONE_AT_A_TIME)
