"""What the tests of the interface share: the application, called in process."""

import asyncio
import copy
import json
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from service.web.app import create_app

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
JSON = {"Content-Type": "application/json"}


class Caller:
    """Calls the application over ASGI."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app

    def __call__(self, method: str, path: str, **more: Any) -> httpx.Response:
        """Send one request."""

        async def answered() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(
                transport=transport, base_url="http://winterground"
            ) as client:
                return await client.request(method, path, **more)

        return asyncio.run(answered())

    def get(self, path: str, **headers: str) -> httpx.Response:
        """Read an address."""
        return self("GET", path, headers=headers)

    def cost(self, document: Any, settings: Any = None, query: str = "") -> httpx.Response:
        """Have a document costed."""
        body = {"document": document} | ({"set": settings} if settings is not None else {})
        return self.cost_raw(json.dumps(body), query)

    def cost_raw(self, body: str | bytes, query: str = "") -> httpx.Response:
        """Have a body costed as it is."""
        return self("POST", f"/v1/costings{query}", content=body, headers=JSON)


@pytest.fixture(scope="session")
def app() -> FastAPI:
    return create_app()


@pytest.fixture(scope="session")
def keeping_app() -> FastAPI:
    return create_app()


@pytest.fixture
def keeping(keeping_app: FastAPI) -> Any:
    """Return a service that keeps scenarios, with nothing kept yet."""
    from tests.web.keeping import Keeping  # noqa: PLC0415 - it takes Caller from here

    return Keeping(keeping_app)


@pytest.fixture(scope="session")
def call() -> Caller:
    """Return a service that keeps nothing, which no test gives a desk."""
    return Caller(create_app())


@pytest.fixture(scope="session")
def farms() -> dict[str, dict[str, Any]]:
    return {
        name: json.loads((FARMS / f"{name}.json").read_text("utf-8"))
        for name in ("worked_farm", "worked_farm_rows", "worked_farm_edges")
    }


@pytest.fixture
def farm(farms: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """Return a copy of the first worked farm, to be spoiled."""
    return copy.deepcopy(farms["worked_farm"])


@pytest.fixture(scope="session")
def results() -> dict[str, dict[str, Any]]:
    """Return what an independent calculation answers for the worked farms."""
    return {
        name: json.loads((FARMS / f"{name}_result.json").read_text("utf-8"))
        for name in ("worked_farm", "worked_farm_rows", "worked_farm_edges")
    }
