"""Systems that were chosen: costed, with the winter they are for."""

from dataclasses import replace
from functools import cache

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.season.dates import season_from
from service.season.subject import SeasonSubject
from service.web.reading import scenario_of


def subject_of(document, system, year=2026):
    """Cost a document and return one of its systems in the winter that begins in a year."""
    scenario = scenario_of(document)
    costing = cost(scenario)
    body = costing_document(costing, given=document)
    season = season_from(scenario.winter.first_day, scenario.winter.last_day, year)
    return SeasonSubject(costing, body, system, season)


def demo_subject(system):
    """Return a system of the demo farm, costed once for them all."""
    return replace(_any_system(), key=system)


@cache
def _any_system():
    document = demo_document()
    return subject_of(document, document["baseline"])
