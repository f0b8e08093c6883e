"""Costings as documents, for tests of what is made of them."""

import copy
import json
from functools import cache
from typing import Any

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.web.reading import scenario_of

ABOUT = {"scenario": "sc_01", "external_id": "0417", "revision": 3}
UNSAVED = {"scenario": None, "external_id": None, "revision": None}

FORMULA = "=1+1"
AT = "@SUM(A1)"
LINK = "http://farm.invalid/a"
RIGHT_TO_LEFT = "\u202egnp.mrof\u202c \u200f"
LONG = "-" + "n" * 4_000
MARKUP = "<script>alert(1)</script>&amp;\ufffe_x0041_\x01"
HOSTILE = (FORMULA, AT, LINK, RIGHT_TO_LEFT, LONG, MARKUP, '=HYPERLINK("http://farm.invalid","x")')


@cache
def _costed(text: str) -> str:
    document = json.loads(text)
    body = costing_document(cost(scenario_of(document)), given=document)
    return json.dumps(body)


def body_of(document: dict[str, Any]) -> dict[str, Any]:
    """Return the costing of a document, as it is answered."""
    return json.loads(_costed(json.dumps(document)))


def demo_body() -> dict[str, Any]:
    """Return the costing of the demo."""
    return body_of(demo_document())


def hostile_body() -> dict[str, Any]:
    """Return the costing of the demo where people have written what could do harm."""
    document = copy.deepcopy(demo_document())
    document["winter"]["rows"][0]["season"] = FORMULA
    body = body_of(document)
    body["inputs_used"]["name"] = FORMULA
    for system, title in zip(body["systems"], HOSTILE, strict=True):
        system["title"] = title
        body["inputs_used"]["systems"][system["system"]]["title"] = title
    return body
