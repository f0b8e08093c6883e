"""A farm in another currency: every price multiplied, those of the edition among them."""

from typing import Any

from service.costing.reference.table import load_edition

MONEY = {
    "bedding_per_ton",
    "cap",
    "cost_to_sell_per_ton",
    "custom_rate_per_hour",
    "diesel_per_gallon",
    "engineering_cost",
    "forage_value_per_ton_dm",
    "k2o_per_lb",
    "labor_per_hour",
    "least_charge",
    "list_price",
    "nitrogen_per_lb",
    "p2o5_per_lb",
    "price",
    "price_per_ton",
    "tie_in_cost",
}
"""Names of the inputs of `tests.support.situations` that are money."""


def in_other_money(document: dict[str, Any], factor: float) -> dict[str, Any]:
    """Return the document with all money multiplied."""
    prices = {
        key: row.usual * factor
        for key, row in load_edition(document["reference_edition"]).rows.items()
        if row.currency is not None
    }
    return _multiplied(document, factor) | {"assumptions": prices}


def _multiplied(part: Any, factor: float) -> Any:
    if isinstance(part, list):
        return [_multiplied(item, factor) for item in part]
    if not isinstance(part, dict):
        return part
    return {
        name: value * factor if name in MONEY else _multiplied(value, factor)
        for name, value in part.items()
    }
