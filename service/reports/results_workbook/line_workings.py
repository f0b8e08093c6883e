"""How each line is worked, in words: the formulas that the engine applies, by line."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.formula import SIGNATURES
from service.costing.formulas import (
    accounts,
    building,
    comfort,
    hay,
    intake,
    machines,
    manure,
    nutrients,
    stockpile,
    structures,
    time_value,
    trampling,
    work,
)
from service.costing.wording import sentence, spoken

Formula = Callable[..., Any]

EATEN = (intake.eaten_per_day, hay.feed_eaten)
LINE_FORMULAS: Mapping[str, Sequence[Formula]] = {
    "hay_eaten": (*EATEN, hay.feed_cost),
    "hay_wasted": (*EATEN, hay.waste_fraction, hay.hay_offered, hay.feed_cost),
    "hay_lost_in_storage": (hay.hay_offered, hay.hay_stored, hay.feed_cost),
    "late_summer_hay": (
        stockpile.late_summer_demand,
        stockpile.late_summer_supply,
        stockpile.shortfall,
        stockpile.caused_by_closing,
        hay.feed_cost,
    ),
    "supplement": (intake.supplement_by_stage, intake.supplement_fed, hay.feed_cost),
    "stockpile_fertilizer": (stockpile.nitrogen_cost, stockpile.spreading_cost),
    "stockpile_forage": (stockpile.stockpile_without_nitrogen, stockpile.forage_given_up),
    "bedding": (manure.bedding, manure.bedding_cost),
    "labor": (work.task_minutes, work.labor_cost),
    "machinery": (work.task_minutes, work.machine_cost),
    "manure_handling": (
        manure.manure,
        manure.rain_on_floor,
        manure.to_handle,
        manure.loads,
        work.labor_cost,
        work.machine_cost,
    ),
    "structures": (
        structures.works,
        structures.first_cost,
        building.salvage_value,
        building.building_flows,
    ),
    "cost_share": (structures.cost_share_granted, building.paid_in_year),
    "structure_upkeep": (building.top_up_cost, building.upkeep_flows),
    "ground_restoration": (
        manure.animal_unit_days,
        trampling.ground_trampled,
        trampling.within_ground,
        trampling.restoration,
    ),
    "forage_lost": (
        trampling.ground_trampled,
        trampling.within_ground,
        trampling.forage_years_lost,
        trampling.forage_lost,
    ),
    "animal_losses": (comfort.condition_worth, comfort.young_worth, comfort.foot_cost),
    "nutrient_credit": (
        nutrients.nutrients_in_hay,
        nutrients.nutrients_dropped,
        nutrients.nutrients_kept,
        nutrients.nutrients_kept_from_floor,
        nutrients.nutrient_worth,
    ),
}
"""What a line is worked by, from animals or ground to money; not every step in between."""

MACHINE_RATES = (
    machines.accumulated_repairs,
    machines.repairs_per_year,
    machines.fuel_per_hour,
    machines.lubrication_per_hour,
    machines.operating_per_hour,
    machines.remaining_value,
    machines.machine_recovery_per_year,
    machines.taxes_insurance_housing,
    machines.ownership_per_hour,
)
"""How an hour of an owned machine is priced; a custom rate stands for all of it."""

OF_ALL_LINES = (
    accounts.entries_by_year,
    accounts.present_values,
    time_value.capital_recovery_factor,
    accounts.annual_equivalents,
)
"""How the amounts of a line become one level yearly cost."""

KINDS: Mapping[str, str] = {
    "paid": "Paid out in money.",
    "own_labor": "Hours of the family, at the wage of the scenario.",
    "home_grown": "Hay of the farm's own, at what it would bring less the cost of selling it.",
    "ownership": "Interest, wear, taxes, insurance and housing of machines that are owned anyway.",
    "forgone": "What the farm does without: grass not grazed or not grown, condition lost.",
    "credit": "What is worth money and brings none in: below zero.",
}
"""What each kind of money is."""


@dataclass(frozen=True, slots=True)
class WorkingStep:
    """One formula: what it gives, and how, in words."""

    gives: str
    words: str


def steps_of(formulas: Sequence[Formula]) -> list[WorkingStep]:
    """Return formulas in words."""
    return [
        WorkingStep(sentence(spoken(signature.name)), signature.words)
        for signature in (SIGNATURES[formula] for formula in formulas)
    ]
