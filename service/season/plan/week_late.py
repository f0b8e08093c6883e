"""What it costs to be a week late, by the engine where it can tell."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from service.costing.comparison import annual
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.formulas.stages import ORDINARY_YEAR, days_between
from service.costing.limits import known
from service.costing.methods import Step
from service.costing.methods.stockpile_grazing import StockpileGrazing
from service.costing.plan import System
from service.costing.scenario import Scenario
from service.costing.wording import share
from service.season.dates import days_after, named
from service.season.figures import figure_of
from service.season.plan.anchors import ShutGrass
from service.season.plan.records import WeekLate
from service.season.plan.wording import said_money
from service.season.subject import Document, SeasonSubject

WEEK = 7
"""Days of a week."""
RESPONSE = "stockpile.nitrogen_response"
NOT_OPERATING = frozenset({"structures", "cost_share", "structure_upkeep"})
"""Lines that are owed whether a system is ready or not."""


def closing_week_late(subject: SeasonSubject, grass: tuple[ShutGrass, ...]) -> WeekLate:
    """Return what a year costs more if grass that is shut on one day is shut a week later."""
    if any(_days_of_growth(member.step) <= WEEK for member in grass):
        return _not_estimated(
            "A week later growth would have ended: there would be nothing to graze in winter."
        )
    keys = {member.key for member in grass}
    late = days_after(named(grass[0].step.closing_date, ORDINARY_YEAR), WEEK)

    def later(key: str, step: Step) -> Step:
        return replace(step, closing_date=f"{late:%m-%d}") if key in keys else step

    system = replace(
        subject.system, plan=[later(key, step) for key, step in subject.system.steps.items()]
    )
    return _costed_again(
        subject,
        lambda scenario: _only(scenario, subject.key, system),
        "Shut a week later, all else the same: {change}. Less grass for winter, "
        "and a week more of it for late summer.",
    )


def nitrogen_week_late(subject: SeasonSubject, groups: int) -> WeekLate:
    """Return what a year costs more if nitrogen is spread a week after the grass is shut."""
    response = known(subject.costing.case, RESPONSE)
    if response is None:
        return _not_estimated("How grass answers to nitrogen is not known here.")
    kept = figure_of("week_late.nitrogen_kept").usual
    scope = "all nitrogen of the system" if groups > 1 else "the nitrogen"
    return _costed_again(
        subject,
        lambda scenario: _with_assumptions(
            _only(scenario, subject.key, subject.system), {RESPONSE: response * kept}
        ),
        f"With {scope} spread a week later, keeping {share(kept)} of the response: {{change}}.",
    )


def readiness_week_late(subject: SeasonSubject) -> WeekLate:
    """Return what a week of feeding as today costs more than a week of the system."""
    baseline = subject.scenario.baseline
    if baseline == subject.key:
        return _not_estimated("It is what is done today, so there is nothing to be late for.")
    days = subject.body["winter"]["days"]
    per_day = (_operating(subject, baseline) - _operating(subject, subject.key)) / days
    value = per_day * WEEK
    money = said_money(abs(value), subject.scenario.currency)
    change = f"about {money} more" if value > 0 else f"nothing: it saves about {money}"
    words = (
        f"A week of winter fed as today costs {change}. Buildings, cost-share and upkeep are left "
        "out: they are owed in any case. It stands for the system as a whole, not for one part."
    )
    return WeekLate(value, "engine", words)


def _days_of_growth(step: StockpileGrazing) -> int:
    return days_between(step.closing_date, step.dormancy_date)


def _operating(subject: SeasonSubject, key: str) -> float:
    system = next(item for item in subject.body["systems"] if item["system"] == key)
    lines: list[Document] = system["lines"]
    return sum(line["annual_equivalent"] for line in lines if line["line"] not in NOT_OPERATING)


def _costed_again(
    subject: SeasonSubject, changed: Callable[[Scenario], Scenario], words: str
) -> WeekLate:
    try:
        costing = cost(changed(subject.scenario))
    except InputError:
        return _not_estimated(
            "A week later the plan would no longer feed every day, so it cannot be costed."
        )
    value = annual(costing.systems[subject.key]) - annual(subject.costed)
    money = said_money(abs(value), subject.scenario.currency)
    change = f"about {money} more a year" if value > 0 else f"it saves about {money} a year"
    return WeekLate(value, "engine", words.format(change=change))


def _only(scenario: Scenario, key: str, system: System) -> Scenario:
    """Return a scenario with the baseline and one system, which may be the same."""
    systems = {scenario.baseline: scenario.systems[scenario.baseline]} | {key: system}
    return replace(scenario, systems=systems)


def _with_assumptions(scenario: Scenario, values: Mapping[str, float]) -> Scenario:
    return replace(scenario, assumptions={**scenario.assumptions, **values})


def _not_estimated(words: str) -> WeekLate:
    return WeekLate(None, "not_estimated", words)
