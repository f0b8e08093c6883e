"""What can be wrong with a search for plans, asked of a scenario."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import MISSING, fields

from service.analysis.plan_gear import WITHOUT_FEEDER, Gear
from service.analysis.plan_sources import Sources
from service.analysis.questions import MOST_PLANS, MOST_TO_SHOW, PlansWithinLimits
from service.analysis.subject import Subject
from service.costing.checks.phrases import choice, short, some_of
from service.costing.checks.systems import MOST_SYSTEMS
from service.costing.errors import Fault, nearest
from service.costing.methods import METHODS
from service.costing.reference.keys import grammar
from service.costing.structures import KINDS

MOST_STEPS = 4
MOST_ORDERS = 200_000
"""Orders of steps that are written down to count the plans."""
LARGEST_SEED = 2**53 - 1
"""The largest whole number that every reader of JSON keeps."""

UNITS = {
    "money_up_front": "currency",
    "first_year_cash": "currency",
    "labor_hours": "hour/year",
    "minutes_weekday": "minute",
    "acres_damaged": "acre",
}


def faults_of_question(subject: Subject, question: PlansWithinLimits) -> Iterator[Fault]:
    """Yield what is wrong with a question before any system is looked into."""
    systems = list(subject.scenario.systems)
    if question.start_from not in subject.scenario.systems:
        yield _unknown("start_from", "system", question.start_from, systems)
    elif len(systems) >= MOST_SYSTEMS:
        yield Fault(
            "start_from",
            f"The scenario has {len(systems)} systems, as many as are costed at once, so no plan "
            "can be put beside them; take a system out first.",
            received=len(systems),
            allowed=f"at most {MOST_SYSTEMS - 1}",
        )
    for name, most in (
        ("max_steps", MOST_STEPS),
        ("top", MOST_TO_SHOW),
        ("most_plans", MOST_PLANS),
    ):
        yield from _whole(name, getattr(question, name), 1, most)
    yield from _whole("seed", question.seed, 0, LARGEST_SEED)
    for name, value in limits_of(question).items():
        if not (math.isfinite(value) and value >= 0):
            yield Fault(
                f"limits.{name}",
                f"The limit {name} must be 0 or more.",
                received=value if math.isfinite(value) else str(value),
                allowed="at least 0",
                unit=UNITS[name],
            )
    allow = question.allow
    yield from _words("allow.methods", "method", allow.methods, list(METHODS))
    yield from _words(
        "allow.presentations",
        "presentation",
        allow.presentations,
        grammar().sets["presentation"],
    )
    yield from _words("allow.structures", "kind of structure", allow.structures, list(KINDS))
    for name in ("methods", "presentations"):
        if getattr(allow, name) == ():
            yield Fault(
                f"allow.{name}",
                f"The list is empty, so no plan can be made; name some {name}, or leave the list "
                "out for those that the scenario's systems have.",
            )


def faults_of_sources(sources: Sources, gear: Gear, question: PlansWithinLimits) -> Iterator[Fault]:
    """Yield what is allowed and that no system shows how to do."""
    start = sources.start.key
    methods = {found.step.method for found in sources.steps}
    for method in question.allow.methods or ():
        if method in METHODS and method not in methods:
            lacking = [f"systems.{start}.plan.{method}.{name}" for name in _needed(method)]
            yield Fault(
                "allow.methods",
                f"No system feeds {sources.heaviest} by {method}, so {some_of(lacking)} "
                f"{'is' if len(lacking) == 1 else 'are'} not known; add a {method} step to any "
                "system.",
                received=method,
                allowed=choice(sorted(methods)),
            )
    shown = {word for found in sources.steps for word in found.words}
    for word in question.allow.presentations or ():
        is_known = word in shown or word in WITHOUT_FEEDER or not gear.lists_feeders
        if word in grammar().sets["presentation"] and not is_known:
            yield Fault(
                "allow.presentations",
                f"No system feeds {sources.heaviest} with {word}, so what its feeders cost is not "
                "known; add a system that does, with its feeders.",
                received=word,
                allowed=choice(sorted(shown)),
            )
    kinds = set[str]().union(*[source.kinds() for source in sources.sources])
    for kind in question.allow.structures or ():
        if kind in KINDS and kind not in kinds:
            yield Fault(
                "allow.structures",
                f"No system has a {kind}, so its size and price are not known; add "
                f"systems.{start}.structures.{kind} of that kind to any system.",
                received=kind,
                allowed=choice(sorted(kinds)),
            )


def limits_of(question: PlansWithinLimits) -> dict[str, float]:
    """Return the limits that are set."""
    return {
        item.name: value
        for item in fields(question.limits)
        if (value := getattr(question.limits, item.name)) is not None
    }


def fault_of_nothing() -> Fault:
    """Return the fault of a search in which no plan can be made at all."""
    return Fault(
        "allow.methods",
        "Of what is allowed no plan can be made whose last step takes all that is left; allow a "
        "method that feeds hay without a limit, and a presentation that it has in some system.",
    )


def fault_of_many(orders: int) -> Fault:
    """Return the fault of a search with too many orders."""
    return Fault(
        "max_steps",
        f"The steps that the systems have can be put in {orders:,} orders; allow fewer methods or "
        "fewer steps.",
        received=orders,
        allowed=f"at most {MOST_ORDERS:,} orders",
    )


def _needed(method: str) -> list[str]:
    """Return the members that a step of a method must have."""
    step = METHODS[method]
    required = [item.name for item in fields(step) if item.default is MISSING]
    return [*(["field"] if step.needs_field else []), *required]


def _whole(name: str, value: object, least: int, most: int) -> Iterator[Fault]:
    if isinstance(value, int) and not isinstance(value, bool) and least <= value <= most:
        return
    yield Fault(
        name,
        f"{name} must be a whole number from {least} to {most:,}.",
        received=value,
        allowed=f"a whole number, at least {least}, at most {most:,}",
    )


def _words(
    path: str, what: str, words: Sequence[str] | None, known: Sequence[str]
) -> Iterator[Fault]:
    for word in dict.fromkeys(words or ()):
        if word not in known:
            yield _unknown(path, what, word, known)


def _unknown(path: str, what: str, word: str, known: Sequence[str]) -> Fault:
    near = nearest(word, known)
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        path,
        f"There is no {what} called {short(word)!r}{hint} Known: {some_of(known)}.",
        received=word,
        allowed=choice(known),
        suggestion=near,
    )
