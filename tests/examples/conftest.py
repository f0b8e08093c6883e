"""What the tests of the examples share: a server of its own process, with a key and a farm."""

import importlib.util
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from types import ModuleType
from typing import Any

import httpx
import pytest

from service.scenarios.sharing import make_key_on_host
from service.store.upgrading import upgrade
from service.web.openapi import EXAMPLES
from tests.benchmarks.server import served
from tests.support.installation import at_desk, installation

BASE_FARM = EXAMPLES / "base_farms" / "tansy_county.json"


@dataclass(frozen=True)
class Service:
    """Where it is, who may ask, and the farm that is kept there."""

    address: str
    scenario: str
    key: str = field(repr=False)
    read_token: str = field(repr=False)


@pytest.fixture(scope="session")
def base() -> dict[str, Any]:
    return json.loads(BASE_FARM.read_text("utf-8"))


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory, base: dict[str, Any]) -> Iterator[Service]:
    """Start the server as an operator does."""
    folder = tmp_path_factory.mktemp("service")
    settings = installation(folder)
    upgrade(settings)
    with at_desk(settings) as desk:
        key = make_key_on_host(desk, "Tansy", "write", "planner", 30)[2]
    with served(str(folder)) as (port, _):
        address = f"http://127.0.0.1:{port}"
        shown = {"Authorization": f"Bearer {key}"}
        with httpx.Client(base_url=address, headers=shown) as api:
            made = api.post("/v1/scenarios", json=base | {"external_id": "county"})
            scenario = made.raise_for_status().json()["id"]
            asked = {"access": "read", "label": "spreadsheet", "expires_in_days": 1}
            link = api.post(f"/v1/scenarios/{scenario}/links", json=asked)
            token = link.raise_for_status().json()["token"]
        yield Service(address, scenario, key, token)


@pytest.fixture(scope="session")
def planner() -> ModuleType:
    """Return the script, as a module."""
    spec = importlib.util.spec_from_file_location("planner", EXAMPLES / "planner.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
