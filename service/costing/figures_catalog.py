"""The catalogue of figures: every number that a costing answers with, by its path.

A path stands below the system; the few that belong to the whole costing say so. ``<group>``,
``<step>`` and the like are keys of the scenario or words of a fixed list.
"""

from dataclasses import dataclass

from service.costing.lines import LINES

SYSTEM = "system"
COSTING = "costing"


@dataclass(frozen=True, slots=True)
class CatalogFigure:
    """One figure of the answer.

    ``lower_is_better`` is None where neither is better in itself.
    """

    path: str
    unit: str
    meaning: str
    lower_is_better: bool | None = None
    of: str = SYSTEM


LOWER = True
HIGHER = False

MONEY = (
    (
        "annual_equivalent_cost",
        "currency/year",
        "All costs spread over the horizon in equal yearly amounts.",
        LOWER,
    ),
    (
        "out_of_pocket",
        "currency/year",
        "The part of it that is paid out in money.",
        LOWER,
    ),
    (
        "without_cost_share",
        "currency/year",
        "Annual equivalent cost if no cost-share comes.",
        LOWER,
    ),
    (
        "cost_per_head.<group>",
        "currency/head",
        "A year's cost for each animal of a group, split by dry matter eaten.",
        LOWER,
    ),
    (
        "cost_per_animal_unit_day",
        "currency/AU-day",
        "Cost for 1,000 lb of live weight and day.",
        LOWER,
    ),
    (
        "cost_per_ton_dm_eaten",
        "currency/ton DM",
        "Cost for a ton of dry matter eaten.",
        LOWER,
    ),
    (
        "net_present_cost",
        "currency",
        "Present value of all costs over the horizon.",
        LOWER,
    ),
    ("first_year_cash", "currency", "Paid out in years 0 and 1.", LOWER),
    ("peak_yearly_cash", "currency", "Most that is paid out in any one year.", LOWER),
    (
        "by_winter.<season>.annual_equivalent_cost",
        "currency/year",
        "Annual equivalent cost if every winter were that one.",
        LOWER,
    ),
    ("rank", "none", "1 is the cheapest system.", LOWER),
    (
        "cheapest_in_winters",
        "winter",
        "Number of winters in which it is the cheapest.",
        HIGHER,
    ),
)

HAY = (
    (
        "quantities.hay_needed_ton",
        "ton",
        "Hay needed as fed, losses included, late summer left out.",
        LOWER,
    ),
    (
        "quantities.hay_home_grown_ton",
        "ton",
        "The part of it that the farm makes.",
        None,
    ),
    (
        "quantities.hay_bought_ton",
        "ton",
        "Hay to buy as fed, late summer included.",
        LOWER,
    ),
    (
        "quantities.late_summer_hay_ton",
        "ton",
        "Hay fed in late summer because grass was shut.",
        LOWER,
    ),
    ("quantities.hay_eaten_ton_dm", "ton DM", "Dry matter of hay eaten.", None),
    (
        "quantities.hay_wasted_ton_dm",
        "ton DM",
        "Dry matter offered and not eaten.",
        LOWER,
    ),
    (
        "quantities.hay_lost_in_storage_ton_dm",
        "ton DM",
        "Dry matter lost before feeding.",
        LOWER,
    ),
    (
        "quantities.stockpile_eaten_ton_dm",
        "ton DM",
        "Dry matter of stockpiled grass eaten.",
        None,
    ),
    ("quantities.supplement_ton_dm", "ton DM", "Dry matter of supplement fed.", LOWER),
    ("quantities.bales.needed_mean", "bale", "Bales needed in a mean winter.", LOWER),
    (
        "quantities.bales.needed_worst",
        "bale",
        "Bales needed in the winter that needs most.",
        LOWER,
    ),
    ("quantities.bales.on_hand", "bale", "Bales in store before winter.", None),
    ("quantities.bales.short_mean", "bale", "Bales short in a mean winter.", LOWER),
    (
        "quantities.bales.short_worst",
        "bale",
        "Bales short in the winter that needs most.",
        LOWER,
    ),
    (
        "quantities.bales.spare_mean",
        "bale",
        "Bales left over in a mean winter.",
        HIGHER,
    ),
    (
        "quantities.bales.spare_worst",
        "bale",
        "Bales left over in the winter that needs most.",
        HIGHER,
    ),
    (
        "quantities.bales.to_buy_mean",
        "bale",
        "Whole bales to buy for a mean winter.",
        LOWER,
    ),
    (
        "quantities.bales.to_buy_worst",
        "bale",
        "Whole bales to buy for the winter that needs most.",
        LOWER,
    ),
    (
        "quantities.bales.left_half_way",
        "bale",
        "Bales that should be left half way through winter.",
        None,
    ),
    (
        "quantities.bales.left_30_days_before_grass",
        "bale",
        "Bales that should be left 30 days before grass.",
        None,
    ),
    (
        "quantities.bales.set_out_not_used",
        "bale",
        "Bales set out on grass and not eaten there.",
        LOWER,
    ),
)

WORK = (
    ("quantities.labor_hours", "hour/year", "Hours of people.", LOWER),
    ("quantities.machine_hours", "hour/year", "Hours of machines.", LOWER),
    ("quantities.minutes.<day>", "minute", "Minutes of work on such a day.", LOWER),
    ("quantities.bedding_ton", "ton", "Bedding as bought.", LOWER),
    (
        "quantities.manure_to_handle_ton",
        "ton",
        "Manure, bedding, waste and rain to load and spread.",
        LOWER,
    ),
    ("quantities.manure_loads", "load", "Loads of the spreader.", LOWER),
    (
        "quantities.nutrients_in_lb.<nutrient>",
        "lb",
        "Nutrients of hay that come to the ground or the pack.",
        None,
    ),
    (
        "quantities.nutrients_kept_lb.<nutrient>",
        "lb",
        "The part of them that is kept.",
        HIGHER,
    ),
)

GROUND_AND_ANIMALS = (
    (
        "quantities.acres_damaged.<severity>",
        "acre",
        "Acres damaged in a mean winter.",
        LOWER,
    ),
    (
        "quantities.served_days.<step>.<state>",
        "day",
        "Days served by a step, the largest over the groups.",
        None,
    ),
    (
        "quantities.energy_short_lb_tdn.<group>",
        "lb TDN",
        "Energy needed in cold and mud and not eaten.",
        LOWER,
    ),
    (
        "quantities.condition_not_held_lb.<group>",
        "lb",
        "Live weight not held for want of it.",
        LOWER,
    ),
    (
        "quantities.comfort.<group>.days_in_mud",
        "day",
        "Days at a place with mud.",
        LOWER,
    ),
    (
        "quantities.comfort.<group>.days_without_dry_bed",
        "day",
        "Days without a dry place to lie.",
        LOWER,
    ),
    (
        "quantities.comfort.<group>.days_in_cold_rain",
        "day",
        "Days in cold rain without a roof.",
        LOWER,
    ),
)

AGAINST_BASELINE = (
    (
        "against_baseline.annual_difference",
        "currency/year",
        "Dearer (more than 0) or cheaper than the baseline.",
        LOWER,
    ),
    (
        "against_baseline.extra_investment",
        "currency",
        "Built in year 0 beyond what the baseline builds.",
        LOWER,
    ),
    (
        "against_baseline.net_present_value",
        "currency",
        "Present value of what is saved against the baseline.",
        HIGHER,
    ),
    (
        "against_baseline.internal_rate",
        "fraction/year",
        "Internal rate of return of the extra investment.",
        HIGHER,
    ),
    (
        "against_baseline.modified_internal_rate",
        "fraction/year",
        "Modified internal rate of return, at the real rate.",
        HIGHER,
    ),
    (
        "against_baseline.discounted_payback_years",
        "year",
        "Years until the extra investment is paid back.",
        LOWER,
    ),
    (
        "limits.<limit>.value",
        "as the limit",
        "What the system comes to, held against a limit of the scenario.",
        LOWER,
    ),
    ("limits.<limit>.over", "as the limit", "How far it goes beyond the limit.", LOWER),
)

WHOLE_COSTING = (
    ("best_system", "word", "Key of the cheapest system.", None),
    ("winter.days", "day", "Days of a mean winter.", None),
    (
        "winter.ground_days.<state>",
        "day",
        "Days of a mean winter in a ground state.",
        None,
    ),
)


def figures() -> tuple[CatalogFigure, ...]:
    """Every figure of the answer, in the order in which it stands there."""
    of_lines = tuple(
        CatalogFigure(f"lines.{key}", "currency/year", line.meaning, lower_is_better=True)
        for key, line in LINES.items()
    )
    of_systems = tuple(
        CatalogFigure(path, unit, meaning, lower)
        for path, unit, meaning, lower in (
            *MONEY,
            *HAY,
            *WORK,
            *GROUND_AND_ANIMALS,
            *AGAINST_BASELINE,
        )
    )
    of_costing = tuple(
        CatalogFigure(path, unit, meaning, lower, of=COSTING)
        for path, unit, meaning, lower in WHOLE_COSTING
    )
    return (*of_systems, *of_lines, *of_costing)
