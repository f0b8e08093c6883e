"""Faults of the machines, and machines that tasks ask for and the farm has not."""

from collections.abc import Iterator, Sequence
from functools import cache

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import choice, some_of
from service.costing.checks.question import Question, Site
from service.costing.entry import published_name
from service.costing.errors import Fault
from service.costing.labor import NO_MACHINE, Task
from service.costing.methods import METHODS, Step
from service.costing.places import feeding_field
from service.costing.prices import Machine
from service.costing.rates import BY_ASABE
from service.costing.reference.keys import grammar

DESCRIPTION = ("machine_class", *BY_ASABE)
"""What a machine that is owned must say of itself."""

FLOOR_DRIVERS = ("winter", "day", "scraping", "ton_manure", "load", "ton_bedding")


def machine_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the machines that are given."""
    for key, machine in question.scenario.machines.items():
        path = f"machines.{key}"
        if key == NO_MACHINE:
            yield Fault(
                path,
                "No machine may be called 'none': a task that takes no machine says so by that "
                "word. Call it something else.",
                received=key,
            )
        yield from _costed_one_way(path, machine)
        yield from _class(question, path, machine)


def _costed_one_way(path: str, machine: Machine) -> Iterator[Fault]:
    described = [name for name in DESCRIPTION if getattr(machine, name) is not None]
    if machine.custom_rate_per_hour is not None:
        if described:
            yield fault_of(
                machine,
                path,
                "custom_rate_per_hour",
                "The machine has a custom rate and is also described as one that is owned "
                f"({_published(described)}); keep one of the two.",
            )
        return
    if not described:
        yield fault_of(
            machine,
            path,
            "custom_rate_per_hour",
            f"The machine has no cost; give custom_rate_per_hour, or all of "
            f"{_published(DESCRIPTION)}.",
        )
    else:
        for name in DESCRIPTION:
            if name not in described:
                yield fault_of(
                    machine,
                    path,
                    name,
                    f"{published_name(name)} is missing; a machine without a custom rate is costed "
                    f"from {_published(DESCRIPTION)}.",
                )
    yield from _of_a_custom_rate(path, machine)


def _published(names: Sequence[str]) -> str:
    return some_of([published_name(name) for name in names])


def _of_a_custom_rate(path: str, machine: Machine) -> Iterator[Fault]:
    for name in ("least_charge", "includes_operator"):
        if getattr(machine, name):
            yield fault_of(
                machine,
                path,
                name,
                f"{name} is of a custom rate, and the machine has none; leave it out, or give "
                "custom_rate_per_hour.",
            )


def _class(question: Question, path: str, machine: Machine) -> Iterator[Fault]:
    known = grammar().sets["machine_class"]
    if machine.machine_class is not None and machine.machine_class not in known:
        yield question.unknown(f"{path}.class", "machine class", machine.machine_class, known)


def machines_lacking(question: Question) -> Iterator[Fault]:
    """Yield the machines that tasks of the systems take and that are not given."""
    machines = question.scenario.machines
    asked: dict[str, list[tuple[Task, str]]] = {}
    for site in question.sites:
        for task in _tasks_of(question, site):
            if task.machine != NO_MACHINE and task.machine not in machines:
                asked.setdefault(task.machine, []).append((task, site.key))
    for machine, tasks in asked.items():
        yield _lacking(question, machine, tasks)


def _lacking(question: Question, machine: str, tasks: list[tuple[Task, str]]) -> Fault:
    names = list(dict.fromkeys(f"work.{task.owner}.{task.name}" for task, _ in tasks))
    systems = list(dict.fromkeys(system for _, system in tasks))
    known = list(question.scenario.machines)
    chosen = any(f"{name}.machine" in question.scenario.assumptions for name in names)
    return Fault(
        f"machines.{machine}",
        f"There is no machine {machine!r}, which is taken by {some_of(names)} (in "
        f"{some_of(systems)}). Add machines.{machine}, or set assumptions.{names[0]}.machine to "
        "another machine or to none.",
        received=machine,
        allowed=choice([*known, NO_MACHINE]),
        suggestion=question.near(machine, known) if chosen else None,
    )


def _tasks_of(question: Question, site: Site) -> Iterator[Task]:
    """Yield the tasks that are done in a system."""
    for _, step in site.steps:
        drivers = _drivers_of(question, site, step)
        for owner in (step.method, *_water_owner(question, site, step)):
            yield from (task for task in question.tasks(owner) if task.per in drivers)
    for key, structure in site.system.structures.items():
        drivers = FLOOR_DRIVERS if key in site.used_floors else ("winter",)
        yield from (task for task in question.tasks(structure.kind) if task.per in drivers)


def _water_owner(question: Question, site: Site, step: Step) -> tuple[str, ...]:
    name = feeding_field(step, site.system)
    field = question.scenario.land.fields.get(name) if name else None
    if field is None or field.winter_water == "yes":
        return ()
    return (f"water_{field.winter_water}",)


def _drivers_of(question: Question, site: Site, step: Step) -> set[str]:
    """Return the drivers that a step has in its system."""
    drivers = set(step_drivers(step.method))
    if step.setting("days_per_move") is None:
        drivers.discard("move")
    if not question.has_spells or not _is_shared(question, site, step):
        drivers.discard("switch")
    return drivers


def _is_shared(question: Question, site: Site, step: Step) -> bool:
    """Whether another step has any of the step's groups."""
    herd = list(question.scenario.herd)
    groups = set(herd if step.groups is None else step.groups)
    return any(
        other is not step and groups & set(herd if other.groups is None else other.groups)
        for other in site.system.plan
    )


@cache
def step_drivers(method: str) -> frozenset[str]:
    """Return the drivers that a step of a method can have."""
    kind = METHODS[method]
    names = kind.__dataclass_fields__
    drivers = {"day", "switch", "winter"}
    if kind.eats_hay:
        drivers.add("bale")
    if "days_per_move" in names:
        drivers.add("move")
    if "acres" in names or "bales_set_out" in names:
        drivers.add("acre")
    if "bales_set_out" in names:
        drivers.add("bale_left")
    return frozenset(drivers)
