"""What a screening of the site is made of."""

from dataclasses import dataclass

from service.costing.reference.setbacks import Setback
from service.costing.triggers.setback_checks import SetbackCheck, Verdict

__all__ = [
    "Elsewhere",
    "FieldScreen",
    "NotEstimated",
    "Setback",
    "SetbackCheck",
    "SiteScreening",
    "Verdict",
]


@dataclass(frozen=True, slots=True)
class FieldScreen:
    """One field that the system uses in winter."""

    field: str
    title: str
    uses: tuple[str, ...]
    acres: float
    slope_percent: float | None
    drainage: str
    distance_to_water_ft: float | None
    remarks: tuple[str, ...]
    """Slope, drainage and water in words."""
    nitrogen_lb: float
    """Of hay eaten and wasted that stays there, in the mean of the winters [lb]."""
    phosphorus_lb: float
    """Elemental P [lb]."""
    p2o5_lb: float
    near_water: bool
    """False too where the distance to water is not given; a remark says so."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Nutrients of hay that stay on no field that is known."""

    what: str
    why: str
    nitrogen_lb: float
    phosphorus_lb: float
    p2o5_lb: float


@dataclass(frozen=True, slots=True)
class NotEstimated:
    """What is asked after and no credible model gives."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class SiteScreening:
    """The fields of a system held against a chosen place's setbacks and what is known of them."""

    system: str
    title: str
    place: str | None
    place_title: str | None
    setback_ft: float | None
    """The scenario's own figure [ft]."""
    fields: tuple[FieldScreen, ...]
    elsewhere: tuple[Elsewhere, ...]
    """With the fields this is all that the hay brings."""
    checks: tuple[SetbackCheck, ...]
    setbacks: tuple[Setback, ...]
    """Those of the place, with source and date."""
    near_water_ft: float
    """What counts as near water here [ft]."""
    near_water_words: str
    """Where that distance comes from."""
    nitrogen_near_water_lb: float
    phosphorus_near_water_lb: float
    p2o5_near_water_lb: float
    not_estimated: tuple[NotEstimated, ...]
    sentence: str
    """What was checked, first of all: no place chosen, no setback checked."""
    disclaimer: str
    """That it is a reading of a day."""
