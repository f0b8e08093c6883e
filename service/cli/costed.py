"""Costing a document, or saying everything that is wrong with it."""

from typing import Any

from service.cli.terminal import refusing
from service.costing.engine import cost
from service.costing.result import costing_document
from service.web.reading import scenario_of


def costed(document: dict[str, Any], *, workings: bool = False) -> dict[str, Any]:
    """Return the costing of a document; end the command if it cannot be costed."""
    with refusing():
        costing = cost(scenario_of(document), workings=workings)
    return costing_document(costing, workings=workings, given=document)
