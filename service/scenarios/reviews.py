"""Winters as they were held against their plans, and what they teach of the farm."""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from service.costing.engine import cost
from service.costing.scenario import Scenario
from service.scenarios.access import found
from service.scenarios.chosen import system_named, with_winters
from service.scenarios.costings import body_of, costing_now
from service.scenarios.desk import Caller, Desk
from service.scenarios.kept import kept_at
from service.scenarios.past_winters import winter, winters
from service.scenarios.records import PastWinter
from service.season.as_it_was import PlannedWinter, planned_winter
from service.season.dates import season_called
from service.season.facts import WinterFacts
from service.season.own_figures.offered import own_figures
from service.season.own_figures.ratios import RecordedWinter
from service.season.own_figures.records import OwnFigures
from service.season.review.records import Review
from service.season.review.reviewed import reviewed


@dataclass(frozen=True)
class Reviewed:
    """A winter as it was, and its review."""

    past: PastWinter
    facts: WinterFacts
    review: Review
    farm: str
    """Name of the scenario; empty if it has none."""


def review_of(desk: Desk, caller: Caller, scenario_id: str, season: str) -> Reviewed:
    """Return a recorded winter held against the revision that was its plan.

    Raises
    ------
    UnknownScenarioError, BinnedError, UnknownPartError
        If there is no such winter that the caller may see.
    InputError
        If the plan cannot be costed for a winter as it was.
    """
    with desk.store.reading() as session:
        past = winter(session, caller, scenario_id, season)
    facts = facts_of(desk, past)
    planned = _planned(desk, caller, past)
    return Reviewed(past, facts, reviewed(planned, facts), planned.scenario.name or "")


def own_figures_of(
    desk: Desk, caller: Caller, scenario_id: str, system: str | None = None
) -> OwnFigures:
    """Return what the recorded winters of a scenario say of its own waste, minutes and damage.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        Which scenario; figures are offered for its newest revision.
    system : str, optional
        The system that they are offered for: a key, ``best`` or ``baseline``; if not given that of
        the newest recorded winter, or else the best.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id)
        kept = kept_at(session, desk, head, head.revision)
        past = winters(session, caller, scenario_id)
    current = desk.read(with_winters(desk, kept))
    body = body_of(costing_now(desk, caller, scenario_id))
    recorded = [
        RecordedWinter(item.season, _planned(desk, caller, item), facts_of(desk, item))
        for item in past
    ]
    return own_figures(current, recorded, system_named(body, _meant(system, past, current)))


def facts_of(desk: Desk, past: PastWinter) -> WinterFacts:
    """Return the facts of a recorded winter."""
    return desk.read_facts(json.loads(past.facts))


def _meant(system: str | None, past: Sequence[PastWinter], current: Scenario) -> str | None:
    if system is not None or not past:
        return system
    newest = past[-1].system
    return newest if newest in current.systems else None


def _planned(desk: Desk, caller: Caller, past: PastWinter) -> PlannedWinter:
    """Return what was planned for a recorded winter."""
    with desk.store.reading() as session:
        head = found(session, caller, past.scenario_id)
        kept = kept_at(session, desk, head, past.planned_revision)
    scenario = desk.read(with_winters(desk, kept))
    dates = scenario.winter
    season = season_called(past.season, dates.first_day, dates.last_day)
    return planned_winter(cost(scenario), past.system, season)
