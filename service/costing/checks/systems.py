"""Faults of the systems as a whole: names, numbers, baseline, herd changes and margins."""

from collections.abc import Iterator

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import choice, exact
from service.costing.checks.question import Question, Site
from service.costing.errors import Fault
from service.costing.reference.table import NO_EDITION, editions

RESERVED = ("best", "baseline")
MOST_SYSTEMS = 40
MOST_STEPS = 40
MOST_STRUCTURES = 100
MOST_GROUPS = 40
MOST_ROWS = 20_000
MOST_FIELDS = 400
MOST_MACHINES = 100
MOST_ASSUMPTIONS = 5_000


def edition_faults(question: Question) -> Iterator[Fault]:
    """Yield a reference edition that is not published."""
    if not question.edition_is_known:
        known = (*editions(), NO_EDITION)
        yield question.unknown(
            "reference_edition", "reference edition", question.edition_name, known
        )


def crowding_faults(question: Question) -> Iterator[Fault]:
    """Yield what there is more of than is costed at once."""
    scenario = question.scenario
    numbers = [
        ("systems", len(scenario.systems), MOST_SYSTEMS),
        ("herd", len(scenario.herd), MOST_GROUPS),
        ("machines", len(scenario.machines), MOST_MACHINES),
        ("land.fields", len(scenario.land.fields), MOST_FIELDS),
        ("winter.rows", len(scenario.winter.rows), MOST_ROWS),
        ("assumptions", len(scenario.assumptions), MOST_ASSUMPTIONS),
    ]
    for site in question.sites:
        system = site.system
        numbers += [
            (site.path("plan"), len(system.plan), MOST_STEPS),
            (site.path("structures"), len(system.structures), MOST_STRUCTURES),
        ]
    for path, number, most in numbers:
        if number > most:
            yield Fault(
                path,
                f"{path} has {number} items; at most {most} are costed at once.",
                received=number,
                allowed=f"at most {most}",
            )


def emptiness_faults(question: Question) -> Iterator[Fault]:
    """Yield what must have one item at least and has none."""
    scenario = question.scenario
    parts = [("herd", "group of animals", scenario.herd), ("systems", "system", scenario.systems)]
    plans = [(site.path("plan"), "step", site.system.plan) for site in question.sites]
    for path, what, items in (*parts, *plans):
        if not items:
            yield Fault(
                path,
                f"There is no {what}; give at least one.",
                received=0,
                allowed="at least 1",
            )


def system_faults(question: Question) -> Iterator[Fault]:
    """Yield faults of baseline and names, and of animals bought and sold."""
    scenario = question.scenario
    if scenario.baseline not in scenario.systems and scenario.systems:
        yield question.unknown("baseline", "system", scenario.baseline, list(scenario.systems))
    for site in question.sites:
        if site.key in RESERVED:
            yield Fault(
                site.path(),
                f"No system may be called {site.key!r}, which means another thing where figures "
                "are asked for; call it something else.",
                received=site.key,
                allowed=f"any key but {choice(RESERVED)}",
            )
        yield from _herd_change(question, site)
        yield from _margin(question, site)


def _herd_change(question: Question, site: Site) -> Iterator[Fault]:
    herd = question.scenario.herd
    for key, change in site.system.herd_change.items():
        path = site.path("herd_change", key)
        if key not in herd:
            yield question.unknown(path, "group", key, list(herd))
            continue
        left = herd[key].head + change.head
        if left <= 0:
            yield fault_of(
                change,
                path,
                "head",
                f"{exact(-change.head)} of {exact(herd[key].head)} {key} are sold and none is "
                "left to feed; sell fewer, or cost a scenario without this group.",
                allowed=f"more than {exact(-herd[key].head)}",
            )
        if not any(key in other.margin for other in question.scenario.systems.values()):
            yield Fault(
                site.path("margin", key),
                f"Systems differ in the head of {key}, so they are ranked by farm margin, and none "
                f"says what {key} earn; give margin.{key}.",
            )


def _margin(question: Question, site: Site) -> Iterator[Fault]:
    herd = question.scenario.herd
    for key in site.system.margin:
        if key not in herd:
            yield question.unknown(site.path("margin", key), "group", key, list(herd))
