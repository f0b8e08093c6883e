"""What tests of the farm page share: the page and the costing that it is of."""

import re
from typing import Any

from service.costing.engine import cost
from service.costing.result import costing_document
from service.web.pages.answered_page import page_of
from service.web.pages.farm_page import Circumstances
from service.web.reading import scenario_of
from tests.web.page_read import Page


def costing_of(document: dict[str, Any]) -> dict[str, Any]:
    """Cost a document as it is answered."""
    return costing_document(cost(scenario_of(document)), given=document)


def page_on(body: dict[str, Any], **more: Any) -> Page:
    """Return the page of a costing, read."""
    return Page(page_of(body, more=Circumstances(**more)).body.decode())


def money(text: str) -> int:
    """Read an amount of money, which must be written out in hundreds."""
    assert re.fullmatch(r"-?(0|[1-9]\d{0,2}(,\d{3})*)", text), text
    amount = int(text.replace(",", ""))
    assert amount % 100 == 0, text
    return amount


def is_nearest_hundred(text: str, amount: float) -> bool:
    """Whether an amount is said to the nearest hundred."""
    return abs(money(text) - amount) <= 50.000001


def whole(text: str) -> int:
    """Read a whole number."""
    return int(text.replace(",", ""))
