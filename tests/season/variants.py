"""Two small farms, invented like the demo farm: place, animals, prices and winters.

Thimble Creek Flock: ewes alone, all ground rented, no tractor, small square bales. Eleven Cows:
part bales, a neighbor who feeds for pay, all hay bought by the bale. Both stand among the
examples of the interface.
"""

import json
from typing import Any

from service.costing.engine import cost
from service.costing.result import costing_document
from service.season.dates import season_from
from service.season.subject import SeasonSubject
from service.web.openapi import EXAMPLES
from service.web.reading import scenario_of

Document = dict[str, Any]


def example(name: str) -> Document:
    """Return the document of an example of ``POST /v1/costings``."""
    text = (EXAMPLES / f"cost_document_{name}.json").read_text("utf-8")
    return json.loads(text)["request"]["document"]


def thimble_creek() -> Document:
    """Return the document of Thimble Creek Flock."""
    return example("thimble_creek_flock")


def eleven_cows() -> Document:
    """Return the document of Eleven Cows."""
    return example("eleven_cows")


def subject_of(document: Document, system: str, year: int = 2026) -> SeasonSubject:
    """Return a system of a document for the winter that begins in a year."""
    scenario = scenario_of(document)
    costing = cost(scenario)
    body = costing_document(costing, given=document)
    season = season_from(scenario.winter.first_day, scenario.winter.last_day, year)
    return SeasonSubject(costing, body, system, season)
