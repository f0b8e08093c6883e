"""Sends a case's documents to the service as users do, and reads the answers."""

import asyncio
import json
from functools import cache
from typing import Any

import httpx

from service.web.app import create_app
from tests.validation.neutral import Document, filled


class Answer:
    """A costing as it came back over HTTP."""

    def __init__(self, document: Document, costing: dict[str, Any]) -> None:
        self.document = document
        self.costing = costing

    def system(self, name: str) -> dict[str, Any]:
        """Return what was said of one system."""
        return next(each for each in self.costing["systems"] if each["system"] == name)

    def line(self, system: str, *lines: str) -> float:
        """Return the annual equivalent of a line, or of some together [currency/year]."""
        return sum(
            line["annual_equivalent"]
            for line in self.system(system)["lines"]
            if line["line"] in lines
        )

    def cost(self, system: str) -> float:
        """Return the annual equivalent of all lines [currency/year]."""
        return self.system(system)["annual_equivalent_cost"]

    def quantity(self, system: str, *names: str) -> float:
        """Return a quantity, one name for each level."""
        found = self.system(system)["quantities"]
        for name in names:
            found = found[name]
        return found


@cache
def _app() -> Any:
    return create_app()


def posted(path: str, body: Document) -> httpx.Response:
    """Send a body to an address of the service and return the answer."""

    async def answered() -> httpx.Response:
        transport = httpx.ASGITransport(app=_app(), raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url="http://winterground") as client:
            return await client.post(
                path, content=json.dumps(body), headers={"Content-Type": "application/json"}
            )

    return asyncio.run(answered())


def _posted(document: Document, settings: dict[str, Any] | None) -> httpx.Response:
    return posted("/v1/costings", {"document": document, "set": settings or {}})


def costed(document: Document, settings: dict[str, Any] | None = None) -> Answer:
    """Have a document costed; reference values that the engine misses are filled in neutrally.

    ``settings`` are values set on it by input path, as a user may send them beside a document.

    Raises
    ------
    ValueError
        If the service refuses the document for anything else.
    """
    answer = _posted(document, settings)
    if answer.status_code == httpx.codes.UNPROCESSABLE_ENTITY:
        missing = [
            fault["input"].removeprefix("assumptions.")
            for fault in answer.json()["errors"]
            if "takes nothing from the tables" in fault["detail"]
        ]
        document = filled(document, missing)
        answer = _posted(document, settings)
    if answer.status_code != httpx.codes.OK:
        raise ValueError(answer.text)
    return Answer(document, answer.json())
