"""Steps that most cases use: hay fed on a lot, and grass or another crop that stands in a field."""

from typing import Any

from tests.validation.neutral import Document

CLOSED = {"closing_date": "08-02", "dormancy_date": "10-31"}
GROWING_DAYS = 90
"""From 2 August to 31 October [day]."""
HAY: Document = {"method": "sacrifice_lot", "presentation": "bunk", "field": "field"}
"""Hay from a bunk; what it wastes is nothing, unless the case says so."""


def grass(acres: float, **more: Any) -> Document:
    """Return a step on a standing crop that is given out day by day.

    Parameters
    ----------
    acres : float
        Acres of it [acre].
    **more
        Other members of the step.
    """
    step: Document = {"method": "stockpile_grazing", "field": "field", "acres": acres}
    return step | CLOSED | {"days_per_move": 1} | more


def standing(lb_dm_per_acre: float) -> dict[str, float]:
    """Return the assumption that so much stands on an acre when growth ends [lb DM/acre]."""
    return {"stockpile.growth_lb_dm_per_acre_day": lb_dm_per_acre / GROWING_DAYS}


def task(name: str, **how: float | str) -> dict[str, float | str]:
    """Return the assumptions of a task of work, by ``method.task``."""
    usual: dict[str, float | str] = {
        "person_minutes": 0,
        "machine_minutes": 0,
        "machine": "none",
    }
    return {f"work.{name}.{key}": value for key, value in (usual | how).items()}
