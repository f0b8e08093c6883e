"""What is varied where the question does not say: prices, yields and waste.

What is built and what a task takes stay as planned: a quote or a clock tells them, no season does.
"""

import re

from service.costing.entry import KEY

_NAME = KEY.strip("^$")

PRICES = (
    r"hay\.(price|cost_to_make|cost_to_sell)_per_(ton|bale)",
    r"land\.forage_value_per_ton_dm",
    r"machines\.<name>\.custom_rate_per_hour",
    r"prices\.[a-z0-9]+_per_(hour|gallon|ton|lb)",
    r"supplement\.price_per_ton",
    r"systems\.<name>\.margin\.<name>\.price_per_lb",
)
YIELDS = (
    r"land\.fields\.<name>\.forage_yield_ton_dm_per_acre",
    r"assumptions\.stockpile\.(growth_lb_dm_per_acre_day|nitrogen_response|winter_loss)",
    r"assumptions\.stockpile\.standing_at_closing_lb_dm_per_acre",
    r"assumptions\.stockpile\.(late_summer_utilization|utilization\.<key>)",
)
WASTE = (
    r"assumptions\.hay_waste\.<name>",
    r"assumptions\.hay_waste_added\.<name>\.<name>",
    r"assumptions\.hay_storage_loss\.<name>",
)

VARIED = tuple(
    re.compile(pattern.replace("<name>", _NAME).replace("<key>", r"[a-z0-9_]+"))
    for pattern in (*PRICES, *YIELDS, *WASTE)
)


def is_varied_by_default(path: str) -> bool:
    """Whether an input is a price, a yield or waste."""
    return any(pattern.fullmatch(path) for pattern in VARIED)
