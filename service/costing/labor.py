"""Work of people and machines: the tasks of each method, floor, structure and water supply."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from service.costing.case import Case
from service.costing.charges import Charges
from service.costing.figure import Figure
from service.costing.floors import FloorRun
from service.costing.formulas.sums import portion, remainder, total
from service.costing.formulas.work import (
    custom_cost,
    hours_of,
    labor_cost,
    machine_cost,
    moves_of,
    own_minutes,
    serves_anything,
    task_minutes,
    tons_of,
)
from service.costing.places import feeding_field
from service.costing.rates import Rates
from service.costing.run import StepRun, SystemRun
from service.costing.units import Numeric

MANURE_TASKS = frozenset({"scrape", "clean_out", "spread_manure"})
"""Tasks charged to manure handling whole, people and machines alike."""

EACH_VISIT = frozenset({"day", "move", "switch", "scraping", "winter"})
"""Drivers that are visits themselves; bales are fed on days run, other work in one visit."""

ONCE = Figure(1.0, "time", sources="by definition")
NO_HOURS = Figure(0.0, "hour", sources="by definition")


@dataclass(frozen=True, slots=True)
class Task:
    """One task of an owner, as the reference keys name it."""

    owner: str
    name: str
    per: str
    machine: str


@dataclass(frozen=True, slots=True)
class TaskRun:
    """One task done in a system, in each winter."""

    task: Task
    step: StepRun | None
    driver: Figure
    person_minutes: Figure
    machine_minutes: Figure | None
    minutes_each: Numeric


@dataclass(slots=True)
class LaborRun:
    """All the work of a system."""

    tasks: list[TaskRun] = field(default_factory=list)
    labor_hours: Figure = NO_HOURS
    machine_hours: Figure = NO_HOURS


class TaskBook:
    """The tasks of every owner, found once among the keys of a case."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self._names: dict[str, list[str]] = {}
        for key in sorted(case.keys()):
            parts = key.split(".")
            if parts[0] == "work" and parts[-1] == "per":
                self._names.setdefault(parts[1], []).append(parts[2])

    def of(self, owner: str) -> Iterable[Task]:
        """Return the tasks of an owner."""
        for name in self._names.get(owner, ()):
            base = f"work.{owner}.{name}"
            yield Task(
                owner,
                name,
                self.case.word(f"{base}.per"),
                self.case.word(f"{base}.machine"),
            )


def labor_of(
    run: SystemRun,
    book: TaskBook,
    rates: Rates,
    floors: list[FloorRun],
    charges: Charges,
) -> LaborRun:
    """Work all tasks of a system and charge for them."""
    labor = LaborRun()
    for step in run.steps:
        drivers = _step_drivers(run, step)
        visits = {"bale": step.days_run}
        for owner in (step.step.method, *_water_owners(run, step)):
            for task in book.of(owner):
                _do(run, rates, labor, charges, task, step, drivers, visits)
    in_use = {floor.floor.key: floor for floor in floors}
    for key, structure in run.system.structures.items():
        drivers = {"winter": ONCE}
        if key in in_use:
            drivers |= _floor_drivers(run, in_use[key])
        for task in book.of(structure.kind):
            _do(run, rates, labor, charges, task, None, drivers, {})
    _add_up(run, labor)
    return labor


def _water_owners(run: SystemRun, step: StepRun) -> list[str]:
    name = feeding_field(step.step, run.system)
    place = run.case.scenario.land.fields.get(name) if name else None
    if place is None or place.winter_water == "yes":
        return []
    return [f"water_{place.winter_water}"]


def _step_drivers(run: SystemRun, step: StepRun) -> dict[str, Figure | None]:
    case, work = run.case, run.case.work
    serves = work(serves_anything, days_run=step.days_run)
    moves = None
    if (days_per_move := step.step.setting("days_per_move")) is not None:
        moves = work(
            moves_of,
            days_run=step.days_run,
            days_per_move=case.given(
                f"{step.path}.days_per_move", days_per_move, "day"
            ),
        )
    acres = step.acres_covered
    if step.grass is not None:
        acres = case.given(f"{step.path}.acres", step.step.setting("acres"), "acre")
    return {
        "day": step.days_run,
        "bale": step.bales,
        "move": moves,
        "switch": step.switches,
        "acre": acres,
        "bale_left": step.bales_left,
        "winter": serves,
    }


def _floor_drivers(run: SystemRun, floor: FloorRun) -> dict[str, Figure | None]:
    bedding = run.case.work(tons_of, pounds=floor.bedding)
    return {
        "day": floor.days,
        "scraping": floor.scrapings,
        "ton_manure": floor.tons,
        "load": floor.loads,
        "ton_bedding": bedding,
    }


def _do(  # noqa: PLR0913 - a task, who does it, and how often
    run: SystemRun,
    rates: Rates,
    labor: LaborRun,
    charges: Charges,
    task: Task,
    step: StepRun | None,
    drivers: dict[str, Figure | None],
    visits: dict[str, Figure],
) -> None:
    driver = drivers.get(task.per)
    if driver is None:
        return
    case, work = run.case, run.case.work
    base = f"work.{task.owner}.{task.name}"
    person_each = case.reference(f"{base}.person_minutes")
    machine_each = case.reference(f"{base}.machine_minutes")
    person = work(task_minutes, driver=driver, minutes_each=person_each)
    by_hand = task.machine == "none"
    machine = (
        None
        if by_hand
        else work(task_minutes, driver=driver, minutes_each=machine_each)
    )
    rate = None if by_hand else rates.of(task.machine)
    if rate is not None and machine is not None and rate.pays_operator:
        person = work(own_minutes, person_minutes=person, operator_minutes=machine)
    labor.tasks.append(
        TaskRun(
            task,
            step,
            driver,
            person,
            machine,
            own_minutes_each(
                person_each.value,
                machine_each.value,
                pays=bool(rate and rate.pays_operator),
            ),
        )
    )
    to_manure = task.name in MANURE_TASKS
    _charge_people(run, charges, "manure_handling" if to_manure else "labor", person)
    if rate is None or machine is None:
        return
    line = "manure_handling" if to_manure else "machinery"
    if rate.least_charge is None:
        cost = work(machine_cost, minutes=machine, rate=rate.paid)
    else:
        visit = driver if task.per in EACH_VISIT else visits.get(task.per, ONCE)
        cost = work(
            custom_cost,
            minutes=machine,
            rate=rate.paid,
            visits=visit,
            least_charge=rate.least_charge,
            driver=driver,
        )
    charges.add(line, "paid", "machinery", cost)
    if rate.ownership is not None:
        owned = work(machine_cost, minutes=machine, rate=rate.ownership)
        charges.add(line, "ownership", "machinery", owned)


def own_minutes_each(person: Numeric, machine: Numeric, *, pays: bool) -> Numeric:
    """Return the minutes of the farm's own people each time a task is done."""
    return np.maximum(0.0, person - machine) if pays else person


def _charge_people(
    run: SystemRun, charges: Charges, line: str, minutes: Figure
) -> None:
    case, work = run.case, run.case.work
    prices = case.scenario.prices
    cost = work(
        labor_cost,
        minutes=minutes,
        wage=case.given(
            "prices.labor_per_hour", prices.labor_per_hour, "currency/hour"
        ),
    )
    own = case.given("prices.own_labor_fraction", prices.own_labor_fraction, "fraction")
    charges.add(line, "paid", "labor", work(remainder, amount=cost, share=own))
    charges.add(line, "own_labor", "labor", work(portion, amount=cost, share=own))


def _add_up(run: SystemRun, labor: LaborRun) -> None:
    work = run.case.work
    minutes = [task.person_minutes for task in labor.tasks]
    machine = [
        task.machine_minutes for task in labor.tasks if task.machine_minutes is not None
    ]
    labor.labor_hours = (
        work(hours_of, minutes=work(total, *minutes)) if minutes else NO_HOURS
    )
    labor.machine_hours = (
        work(hours_of, minutes=work(total, *machine)) if machine else NO_HOURS
    )
