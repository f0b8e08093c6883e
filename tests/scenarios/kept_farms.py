"""A desk with two offices before it, and real farms to keep there."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.scenarios import keeping
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.tokens import new_token
from service.web.reading import scenario_of
from tests.support import offices

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
TOKENS = {number: new_token("key") for number in (1, 2)}
"""What opens the keys of the two offices."""
NAMES = ("worked_farm", "worked_farm_edges", "worked_farm_rows")


def opened_desk(**more: Any) -> tuple[Desk, Caller]:
    """Return a desk, and the administrator of the first of two offices."""
    desk = offices.desk(**more)
    with desk.store.writing() as session:
        for number in (1, 2):
            owner = offices.office(number)
            key = offices.credential(number, office_id=owner.id, token=TOKENS[number])
            offices.keep(session, owner, key)
    return desk, offices.caller()


def stranger() -> Caller:
    """Return the administrator of the second office."""
    return offices.caller(office_id=offices.numbered("of", 2))


def farm(name: str) -> Document:
    """Return a fresh copy of the demo farm or of one of the worked farms."""
    return demo_document() if name == "demo" else json.loads((FARMS / f"{name}.json").read_text())


def costed(document: Document) -> Document:
    """Return what costing a document answers, worked apart from what is stored."""
    return json.loads(_costed(json.dumps(document)))


@cache
def _costed(text: str) -> str:
    document = json.loads(text)
    return json.dumps(costing_document(cost(scenario_of(document)), given=document))


def kept_with(desk: Desk, caller: Caller, *documents: Document) -> str:
    """Keep a scenario with one revision for each document, and return its id."""
    first, *others = documents
    scenario_id = keeping.create(desk, caller, first).head.id
    for number, document in enumerate(others, start=1):
        keeping.replace(desk, caller, scenario_id, number, document)
    return scenario_id
