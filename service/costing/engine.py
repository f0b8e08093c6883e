"""Costs a scenario: every system, every winter, every year."""

from collections.abc import Mapping
from dataclasses import dataclass

from service.costing.account import Account, Money, money_of
from service.costing.allocation import start_run
from service.costing.animals import Animals, animals_of
from service.costing.case import Case
from service.costing.charges import Charges
from service.costing.checks import faults_of, faults_unserved
from service.costing.construction import Construction, construction_of
from service.costing.errors import InputError
from service.costing.feed import FeedRun, feed_of
from service.costing.fertility import Fertility, fertility_of
from service.costing.figure import Figure
from service.costing.floors import FloorRun, floors_in_use
from service.costing.ground import Damage, charge_damage, damage_of, scale_to_memory
from service.costing.herd import Herd
from service.costing.labor import LaborRun, TaskBook, labor_of
from service.costing.rates import Rates
from service.costing.run import SystemRun
from service.costing.scenario import Scenario
from service.costing.tally import ENGINE_RUNS
from service.costing.units import Array
from service.costing.winter_rows import WinterRows, winter_rows


@dataclass(slots=True)
class SystemCosting:
    """One system, costed."""

    run: SystemRun
    feed: FeedRun
    floors: list[FloorRun]
    fertility: Fertility
    labor: LaborRun | None
    damage: Damage
    construction: Construction
    animals: Animals
    account: Account


@dataclass(slots=True)
class Costing:
    """All systems of a scenario, costed."""

    case: Case
    herd: Herd
    winters: WinterRows
    money: Money
    scale: Figure
    systems: dict[str, SystemCosting]

    @property
    def baseline(self) -> SystemCosting:
        """The system that the others are held against."""
        return self.systems[self.case.scenario.baseline]


def cost(
    scenario: Scenario,
    *,
    workings: bool = False,
    varied: Mapping[str, Array] | None = None,
) -> Costing:
    """Cost a scenario.

    Parameters
    ----------
    scenario : Scenario
        The question.
    workings : bool
        Whether every number remembers what it was worked from.
    varied : mapping of str to ndarray, optional
        Other values of some inputs by path, each of shape (draws, 1) or (rows,).

    Returns
    -------
    Costing
        Figures of all systems, with the mean winter as the last row of each row axis.

    Raises
    ------
    InputError
        If the question cannot be costed as it stands, with every fault found.
    """
    faults = faults_of(scenario)
    if faults:
        raise InputError(faults)
    costing = worked(Case(scenario, keeps_workings=workings, varied=varied))
    unserved = faults_unserved({name: item.run for name, item in costing.systems.items()})
    if unserved:
        raise InputError(unserved)
    return costing


def worked(case: Case) -> Costing:
    """Work all systems of a case whose scenario has been checked.

    Raises
    ------
    InputError
        If a reference value is missing.
    """
    ENGINE_RUNS.add()
    scenario = case.scenario
    herd = Herd(case)
    winters = winter_rows(case)
    rates = Rates(case)
    book = TaskBook(case)
    money = money_of(case, winters, rates.discount_rate)
    runs = {
        name: start_run(case, herd, winters, name, system)
        for name, system in scenario.systems.items()
    }
    scale = scale_to_memory(runs[scenario.baseline])
    systems = {name: _cost_system(run, rates, book, money, scale) for name, run in runs.items()}
    case.refuse_missing()
    return Costing(case, herd, winters, money, scale, systems)


def _cost_system(
    run: SystemRun, rates: Rates, book: TaskBook, money: Money, scale: Figure
) -> SystemCosting:
    charges = Charges()
    feed = feed_of(run, charges)
    floors = floors_in_use(run, charges)
    fertility = fertility_of(run, charges)
    labor = labor_of(run, book, rates, floors, charges)
    damage = damage_of(run, scale)
    charge_damage(run, damage, money.discount_rate, charges)
    construction = construction_of(run, feed, floors, charges)
    animals = animals_of(run, charges)
    return SystemCosting(
        run,
        feed,
        floors,
        fertility,
        labor,
        damage,
        construction,
        animals,
        Account(money, charges),
    )
