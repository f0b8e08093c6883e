"""The plan of a chosen system: all of its tasks in the order of their days."""

from collections.abc import Callable
from dataclasses import replace

from service.season.plan.animals import animal_tasks
from service.season.plan.bales import bale_tasks
from service.season.plan.building import building_tasks
from service.season.plan.deciding import choice, looking_back
from service.season.plan.grass import grass_tasks
from service.season.plan.ground import ground_tasks
from service.season.plan.hay import hay_tasks
from service.season.plan.hay_plan import hay_plan
from service.season.plan.manure import manure_tasks
from service.season.plan.materials import materials_of
from service.season.plan.notes import notes_of
from service.season.plan.records import Material, Plan, PlanCaution, Task
from service.season.plan.winter import winter_tasks
from service.season.subject import SeasonSubject

SUBJECTS = (
    winter_tasks,
    grass_tasks,
    hay_tasks,
    bale_tasks,
    building_tasks,
    animal_tasks,
    ground_tasks,
    manure_tasks,
    looking_back,
)
"""In the order in which tasks of one day are told."""


def planned(
    subject: SeasonSubject,
    *,
    materials: Callable[[SeasonSubject], tuple[Material, ...]] = materials_of,
) -> Plan:
    """Return the plan of a system for one winter.

    Parameters
    ----------
    subject : SeasonSubject
        The costed scenario, the system and the winter.
    materials : callable
        What works the materials.

    Returns
    -------
    Plan
        Tasks in the order of their days; a caution stands at a task only if the system triggers
        it.
    """
    others = [each for tasks in SUBJECTS for each in tasks(subject)]
    cautions = tuple(
        PlanCaution(each["caution"], each["rank"], each["sentence"], each["source"], each["where"])
        for each in subject.result["cautions"]
    )
    triggered = {each.caution for each in cautions}
    tasks = [_with_cautions(each, triggered) for each in (choice(subject, others), *others)]
    return Plan(
        system=subject.key,
        title=subject.result["title"],
        currency=subject.scenario.currency,
        season=subject.season,
        tasks=tuple(sorted(tasks, key=lambda each: each.day)),
        materials=materials(subject),
        hay=hay_plan(subject),
        cautions=cautions,
        notes=notes_of(subject, tasks),
    )


def _with_cautions(task: Task, triggered: set[str]) -> Task:
    return replace(task, cautions=tuple(key for key in task.cautions if key in triggered))
