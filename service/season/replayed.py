"""What the engine says of a winter: money by line, and the quantities that people write down."""

from dataclasses import dataclass

import numpy as np

from service.costing.averages import mean, mean_of, number
from service.costing.engine import Costing, SystemCosting, cost
from service.costing.fodder import Hay
from service.costing.formulas.hay import feed_cost, tons_as_fed, worth_less_selling
from service.costing.lines import LINES
from service.costing.quantities import acres_damaged_by_draw, labor_hours_by_draw
from service.costing.scenario import Scenario
from service.costing.units import MINUTES_PER_HOUR, POUNDS_PER_TON, SEVERITIES, Array
from service.season.as_it_was import PlannedWinter, as_it_was
from service.season.facts import WinterFacts

ONE_POUND = 1.0


@dataclass(frozen=True, slots=True)
class Quantities:
    """What a winter takes, means of the rows."""

    days: float
    hay_eaten_lb: float
    hay_offered_lb: float
    hay_stored_lb: float
    """All three dry matter."""
    labor_hours: float
    machine_hours: float
    fuel_gallon: float
    """Of the machines that are costed by price, age and hours; custom rates have fuel in them."""
    bedding_ton: float
    supplement_ton: float
    """As fed."""
    manure_loads: float
    acres: dict[str, float]
    """Damaged, by severity."""
    served_days: dict[str, float]
    """Days that each step runs."""

    @property
    def acres_in_all(self) -> float:
        """Acres damaged, all severities."""
        return sum(self.acres.values())


@dataclass(frozen=True)
class Replayed:
    """One system in one winter, costed."""

    scenario: Scenario
    costing: Costing
    key: str
    lines: Array
    """Money of each line, in the order of `LINES` [currency/year]."""
    quantities: Quantities

    @property
    def system(self) -> SystemCosting:
        """The system, as the engine costed it."""
        return self.costing.systems[self.key]

    @property
    def hay_worth_per_lb(self) -> float:
        """Worth of a pound of hay's dry matter, bought and home-grown as the farm has it.

        In the mean of the rows [currency/lb DM].
        """
        winters, hay = self.costing.winters, self.scenario.hay
        price = mean(winters, winters.hay_price)
        home = hay.home_grown_fraction
        bought = feed_cost(ONE_POUND, hay.dry_matter_fraction, price)
        made = feed_cost(ONE_POUND, hay.dry_matter_fraction, worth_of_home_grown(hay, price))
        return number((1 - home) * bought + home * made)


def replayed(
    planned: PlannedWinter, facts: WinterFacts, *, weather: bool, price: bool, practice: bool
) -> Replayed:
    """Cost one system with some of weather, prices and practice as they were.

    Parameters
    ----------
    planned : PlannedWinter
        The plan.
    facts : WinterFacts
        What is known of the winter.
    weather, price, practice : bool
        Whether each is as it was, or as planned.

    Raises
    ------
    InputError
        If the plan does not serve every day of the winter as it was.
    """
    scenario = as_it_was(planned, facts, weather=weather, price=price, practice=practice)
    return replay(scenario, planned.key)


def replay(scenario: Scenario, key: str) -> Replayed:
    """Cost one system of a scenario and read off what a review asks."""
    costing = cost(scenario)
    system = costing.systems[key]
    return Replayed(
        scenario=scenario,
        costing=costing,
        key=key,
        lines=system.account.lines.value[: len(LINES), 0, 0],
        quantities=quantities_in(costing, system),
    )


def quantities_in(costing: Costing, system: SystemCosting) -> Quantities:
    """Return the quantities of a system, means of the winters."""
    winters, feed, labor = costing.winters, system.feed, system.labor
    given = costing.case.scenario.supplement
    acres = acres_damaged_by_draw(costing, system)
    return Quantities(
        days=mean(winters, winters.total_days),
        hay_eaten_lb=mean(winters, feed.hay_eaten),
        hay_offered_lb=mean(winters, feed.hay_offered),
        hay_stored_lb=mean(winters, feed.hay_stored),
        labor_hours=number(labor_hours_by_draw(costing, system)),
        machine_hours=mean(winters, labor.machine_hours) if labor else 0.0,
        fuel_gallon=_fuel(costing, system),
        bedding_ton=sum(mean(winters, floor.bedding) for floor in system.floors) / POUNDS_PER_TON,
        supplement_ton=0.0
        if given is None
        else number(tons_as_fed(mean(winters, feed.supplement), given.dry_matter_fraction)),
        manure_loads=sum(mean(winters, floor.loads) for floor in system.floors),
        acres={severity: number(acres[i]) for i, severity in enumerate(SEVERITIES)},
        served_days={step.key: mean(winters, step.days_run) for step in system.run.steps},
    )


def worth_of_home_grown(hay: Hay, price: float) -> float:
    """Return what a ton of the farm's own hay is worth [currency/ton as fed]."""
    if hay.valued_at == "cost_to_make":
        return hay.cost_to_make_per_ton or 0.0
    return number(worth_less_selling(price, hay.cost_to_sell_per_ton))


def fuel_per_hour(costing: Costing, machine: str) -> float:
    """Return what an hour of a machine burns [gallon/hour]; 0 at a custom rate."""
    given = costing.case.scenario.machines[machine]
    if given.custom_rate_per_hour is not None or given.pto_hp is None:
        return 0.0
    return costing.case.value("machine.fuel_gallon_per_pto_hp_hour") * given.pto_hp


def _fuel(costing: Costing, system: SystemCosting) -> float:
    labor = system.labor
    if labor is None:
        return 0.0
    minutes = mean_of(costing.winters, labor.machine_minutes)
    burnt = [
        0.0 if item.rate is None else fuel_per_hour(costing, item.task.machine)
        for item in labor.tasks
    ]
    return float(np.sum(minutes[:, 0] * np.array(burnt))) / MINUTES_PER_HOUR
