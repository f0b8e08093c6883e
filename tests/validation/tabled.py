"""A farm on the tables and prices of this service, to hold the tables against what others found."""

from math import ceil
from typing import Any

from service.quick_start.figures import stand_in
from tests.validation.asking import Answer, costed
from tests.validation.neutral import Document, farm


def filled_in(name: str) -> float:
    """Return what the service fills in where a farm does not know a figure of its own."""
    usual = stand_in(name).usual
    if not isinstance(usual, int | float):
        raise TypeError(name)
    return usual


DAYS = 120
COWS = {"animal": "beef_cow", "body_weight_lb": 1250, "stage": "maintenance"}
BALES: dict[str, Any] = {
    "method": "bale_grazing",
    "field": "field",
    "bales_set_out": 100_000,
    "spacing_ft": 40,
    "presentation": "bales_in_place",
    "days_per_move": 3,
}
ROLLED = {"method": "unrolled_hay", "field": "field", "presentation": "unrolled_daily"}
GRASS = {
    "method": "stockpile_grazing",
    "field": "field",
    "acres": 1,
    "closing_date": "08-15",
    "dormancy_date": "11-15",
    "days_per_move": 1,
    "nitrogen_lb_per_acre": 46,
}
TRACTOR = {
    "class": "tractor_under_80",
    "age_years": filled_in("tractor_age"),
    **{
        name: filled_in(f"tractor_{name}")
        for name in (
            "list_price",
            "price",
            "years_kept",
            "hours_per_year",
            "hours_so_far",
            "pto_hp",
        )
    },
}
FERTILIZER = {
    "nitrogen_per_lb": filled_in("nitrogen"),
    "p2o5_per_lb": filled_in("p2o5"),
    "k2o_per_lb": filled_in("k2o"),
}


def lot(presentation: str) -> dict[str, Any]:
    """Return hay fed on a lot."""
    return {"method": "sacrifice_lot", "field": "field", "presentation": presentation}


def tables(head: int, plans: dict[str, Any], ground: str = "firm", **parts: Any) -> Document:
    """Return a farm on the service's own tables and prices of 2026."""
    return farm(
        DAYS,
        head=head,
        price_year=2026,
        reference_edition="2026.1",
        winter={"first_day": "11-01", "last_day": "02-28", "ground_days": {ground: DAYS}},
        herd={"cows": COWS | {"head": head}},
        land={
            "fields": {
                "field": {
                    "acres": 1000,
                    "drainage": "moderate",
                    "forage_yield_ton_dm_per_acre": 2.5,
                    "grazed_in_late_summer": False,
                }
            }
        },
        hay={"dry_matter_fraction": 0.87, "crude_protein_fraction": 0.09},
        machines={"tractor": TRACTOR, "loader": TRACTOR},
        prices={
            "labor_per_hour": filled_in("hour_worth"),
            "diesel_per_gallon": filled_in("diesel"),
            **FERTILIZER,
            "nutrient_value_counted": "full",
        },
        finance={"real_rate": 0.05, "horizon_years": 15},
        systems={name: {"plan": [plan]} for name, plan in plans.items()},
        baseline=next(iter(plans)),
        **parts,
    )


def enough_bales(head: int, ground: str = "firm") -> dict[str, Any]:
    """Return bale grazing with no bale left over, which would have to be fetched in."""
    answer = costed(tables(head, {"grazed": BALES}, ground))
    left = answer.quantity("grazed", "bales", "set_out_not_used")
    return BALES | {"bales_set_out": ceil(BALES["bales_set_out"] - left)}


def fed(answer: Answer, system: str) -> float:
    """Return hay offered [ton DM]."""
    return answer.quantity(system, "hay_eaten_ton_dm") + answer.quantity(
        system, "hay_wasted_ton_dm"
    )


def enough_acres(head: int, days_per_move: int) -> dict[str, Any]:
    """Return stockpiled grass that just lasts the winter."""
    step = GRASS | {"days_per_move": days_per_move}
    document = tables(head, {"grass": step})
    document["systems"]["grass"]["plan"].append(lot("bunk"))
    served = costed(document).quantity("grass", "served_days", "stockpile_grazing", "firm")
    return step | {"acres": ceil(DAYS / served)}
