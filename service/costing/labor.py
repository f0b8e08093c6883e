"""Work of people and machines: the tasks of each method, floor, structure and water supply."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from service.costing.case import Case, Cell
from service.costing.charges import Charges
from service.costing.figure import BY_DEFINITION, Figure, constant
from service.costing.floors import FloorRun
from service.costing.formulas.sums import portion, remainder, side_by_side
from service.costing.formulas.work import (
    custom_cost,
    drivers_of_tasks,
    hours_of_tasks,
    labor_cost,
    machine_cost,
    moves_of,
    own_minutes,
    serves_anything,
    sum_of_tasks,
    task_minutes,
    tons_of,
)
from service.costing.places import feeding_field
from service.costing.rates import Rate, Rates
from service.costing.reference.table import Edition, load_edition
from service.costing.run import StepRun, SystemRun
from service.costing.units import COUNT

MANURE_TASKS = frozenset({"scrape", "clean_out", "spread_manure"})
"""Tasks charged to manure handling whole, people and machines alike."""

EACH_VISIT = frozenset({"day", "move", "switch", "scraping", "winter"})
"""Drivers that are visits themselves; bales are fed on days run, other work in one visit."""

NO_MACHINE = "none"
TASK_KEY = re.compile(r"work\.[^.]+\.[^.]+\.per")
ONCE = constant(1.0, "time")
NO_RATE = constant(0.0, "currency/hour")
NO_CHARGE = constant(0.0, "currency")


@dataclass(frozen=True, slots=True)
class Task:
    """One task of an owner, as the reference keys name it."""

    owner: str
    name: str
    per: str
    machine: str
    person_minutes: Cell = None
    machine_minutes: Cell = None


@dataclass(slots=True)
class TaskRun:
    """One task done in a system: how often, and how often its machine comes."""

    task: Task
    step: StepRun | None
    driver: Figure
    visits: Figure
    rate: Rate | None

    @property
    def line(self) -> str | None:
        """The line that takes the whole task, or None where people and machines part."""
        return "manure_handling" if self.task.name in MANURE_TASKS else None


@dataclass(slots=True)
class LaborRun:
    """All the work of a system; tasks lie on an axis of their own."""

    tasks: list[TaskRun]
    own_minutes: Figure
    machine_minutes: Figure
    labor_hours: Figure
    machine_hours: Figure


class TaskBook:
    """The tasks of every owner, found among the keys of a case."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self._names = task_names(case.edition)
        given = names_by_owner(case.scenario.assumptions)
        if given:
            owners = sorted(self._names.keys() | given.keys())
            self._names = {
                owner: tuple(sorted({*self._names.get(owner, ()), *given.get(owner, ())}))
                for owner in owners
            }
        self._tasks: dict[str, list[Task]] = {}

    def of(self, owner: str) -> list[Task]:
        """Return the tasks of an owner."""
        found = self._tasks.get(owner)
        if found is None:
            found = self._tasks[owner] = [
                self._task(owner, name) for name in self._names.get(owner, ())
            ]
        return found

    def _task(self, owner: str, name: str) -> Task:
        base = f"work.{owner}.{name}"
        machine = self.case.word(f"{base}.machine")
        return Task(
            owner=owner,
            name=name,
            per=self.case.word(f"{base}.per"),
            machine=machine,
            person_minutes=self._minutes(f"{base}.person_minutes"),
            machine_minutes=None
            if machine == NO_MACHINE
            else self._minutes(f"{base}.machine_minutes"),
        )

    def _minutes(self, key: str) -> Cell:
        return f"assumptions.{key}", self.case.value(key)


@cache
def _task_names_of(edition: str) -> dict[str, tuple[str, ...]]:
    return names_by_owner(load_edition(edition).rows)


def task_names(edition: Edition) -> dict[str, tuple[str, ...]]:
    """Return the names of the tasks of each owner in an edition."""
    return _task_names_of(edition.name)


def names_by_owner(keys: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return the names of the tasks of each owner among some reference keys."""
    names: dict[str, list[str]] = {}
    for key in sorted(keys):
        if TASK_KEY.fullmatch(key):
            _, owner, name, _ = key.split(".")
            names.setdefault(owner, []).append(name)
    return {owner: tuple(found) for owner, found in names.items()}


def labor_of(
    run: SystemRun,
    book: TaskBook,
    rates: Rates,
    floors: list[FloorRun],
    charges: Charges,
) -> LaborRun | None:
    """Work all tasks of a system and charge for them; None if it has none."""
    tasks = [
        *_step_tasks(run, book, rates),
        *_structure_tasks(run, book, rates, {floor.floor.key: floor for floor in floors}),
    ]
    if not tasks:
        return None
    case, work = run.case, run.case.work
    driver = work(drivers_of_tasks, *[item.driver for item in tasks])
    people = work(
        task_minutes,
        driver=driver,
        minutes_each=_each(case, [item.task.person_minutes for item in tasks]),
    )
    machines = work(
        task_minutes,
        driver=driver,
        minutes_each=_each(case, [item.task.machine_minutes for item in tasks]),
    )
    own = people
    if any(item.rate and item.rate.pays_operator for item in tasks):
        pays = [bool(item.rate and item.rate.pays_operator) for item in tasks]
        own = work(
            own_minutes,
            person_minutes=people,
            machine_minutes=machines,
            pays_operator=_mask(pays),
        )
    _charge_people(run, charges, tasks, own)
    _charge_machines(run, charges, tasks, machines, driver)
    return LaborRun(
        tasks=tasks,
        own_minutes=own,
        machine_minutes=machines,
        labor_hours=work(hours_of_tasks, minutes=own),
        machine_hours=work(hours_of_tasks, minutes=machines),
    )


def _step_tasks(run: SystemRun, book: TaskBook, rates: Rates) -> Iterator[TaskRun]:
    for step in run.steps:
        drivers = _step_drivers(run, step)
        for owner in (step.step.method, *_water_owners(run, step)):
            for task in book.of(owner):
                yield from _task(rates, task, step, drivers, {"bale": step.days_run})


def _structure_tasks(
    run: SystemRun, book: TaskBook, rates: Rates, floors: dict[str, FloorRun]
) -> Iterator[TaskRun]:
    for key, structure in run.system.structures.items():
        drivers: dict[str, Figure | None] = {"winter": ONCE}
        if key in floors:
            drivers |= _floor_drivers(run, floors[key])
        for task in book.of(structure.kind):
            yield from _task(rates, task, None, drivers, {})


def _task(
    rates: Rates,
    task: Task,
    step: StepRun | None,
    drivers: dict[str, Figure | None],
    visits: dict[str, Figure],
) -> Iterator[TaskRun]:
    driver = drivers.get(task.per)
    if driver is not None:
        visit = driver if task.per in EACH_VISIT else visits.get(task.per, ONCE)
        rate = None if task.machine == NO_MACHINE else rates.of(task.machine)
        yield TaskRun(task, step, driver, visit, rate)


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
            days_per_move=case.given(f"{step.path}.days_per_move", days_per_move, "day"),
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


def _each(case: Case, minutes: list[Cell]) -> Figure:
    figure = case.array(minutes, (len(minutes),), "minute")
    figure.axes = ("task",)
    return figure


def _mask(counted: list[bool]) -> Figure:
    values = np.array(counted, float).reshape(-1, 1, 1)
    return Figure(values, COUNT, sources=BY_DEFINITION, axes=("task",))


def _charge_people(run: SystemRun, charges: Charges, tasks: list[TaskRun], minutes: Figure) -> None:
    case, work = run.case, run.case.work
    prices = case.scenario.prices
    costs = work(
        labor_cost,
        minutes=minutes,
        wage=case.given("prices.labor_per_hour", prices.labor_per_hour, "currency/hour"),
    )
    own = case.given("prices.own_labor_fraction", prices.own_labor_fraction, "fraction")
    for line in ("labor", "manure_handling"):
        counted = [(item.line or "labor") == line for item in tasks]
        if not any(counted):
            continue
        cost = work(sum_of_tasks, costs=costs, counted=_mask(counted))
        charges.add(line, "paid", "labor", work(remainder, amount=cost, share=own))
        charges.add(line, "own_labor", "labor", work(portion, amount=cost, share=own))


def _charge_machines(
    run: SystemRun,
    charges: Charges,
    tasks: list[TaskRun],
    minutes: Figure,
    driver: Figure,
) -> None:
    work = run.case.work
    if not any(item.rate for item in tasks):
        return
    rate = work(side_by_side, *[item.rate.paid if item.rate else NO_RATE for item in tasks])
    least = [item.rate.least_charge if item.rate else None for item in tasks]
    if any(least):
        paid = work(
            custom_cost,
            minutes=minutes,
            rate=rate,
            visits=work(drivers_of_tasks, *[item.visits for item in tasks]),
            least_charge=work(side_by_side, *[charge or NO_CHARGE for charge in least]),
            driver=driver,
        )
    else:
        paid = work(machine_cost, minutes=minutes, rate=rate)
    owned = None
    ownership = [item.rate.ownership if item.rate else None for item in tasks]
    if any(ownership):
        per_hour = work(side_by_side, *[each or NO_RATE for each in ownership])
        owned = work(machine_cost, minutes=minutes, rate=per_hour)
    for line in ("machinery", "manure_handling"):
        counted = [item.rate is not None and (item.line or "machinery") == line for item in tasks]
        if not any(counted):
            continue
        mask = _mask(counted)
        charges.add(line, "paid", "machinery", work(sum_of_tasks, costs=paid, counted=mask))
        if owned is not None:
            cost = work(sum_of_tasks, costs=owned, counted=mask)
            charges.add(line, "ownership", "machinery", cost)
