"""A service that keeps scenarios in memory for two offices, called in process."""

import gzip
import json
from typing import Any

import httpx
from fastapi import FastAPI

from service.scenarios.desk import Desk
from service.scenarios.sharing import make_key_on_host
from tests.support.offices import desk as new_desk
from tests.support.offices import small_document
from tests.web.conftest import Caller

ACCESSES = ("read", "write", "admin")
HERE, ELSEWHERE = "Tansy", "Sorrel"
"""The two offices; a test works at the first."""


class Keeping:
    """A service with a fresh desk, and keys of two offices by what they may do."""

    def __init__(self, app: FastAPI, desk: Desk | None = None) -> None:
        self.desk = desk or new_desk()
        self.app = app
        app.state.desk = self.desk
        app.state.open_costing = True
        self.call = Caller(app)
        self.keys = {access: self.key(access) for access in ACCESSES}
        self.keys_elsewhere = {access: self.key(access, ELSEWHERE) for access in ACCESSES}

    @property
    def clock(self) -> Any:
        """The time of the desk, which a test may move."""
        return self.desk.now

    def key(self, access: str, office: str = HERE, days: int = 365) -> str:
        """Make an office key and return its token."""
        return make_key_on_host(self.desk, office, access, f"{access} key", days)[2]

    def __call__(
        self, method: str, path: str, by: str | None = "admin", **more: Any
    ) -> httpx.Response:
        """Send one request.

        Parameters
        ----------
        method, path : str
            What is asked.
        by : str, optional
            A token, or what a key of the first office may do; None shows none.
        **more
            Headers and body as httpx takes them.
        """
        headers = {**more.pop("headers", {})}
        if by is not None:
            headers["Authorization"] = f"Bearer {self.keys.get(by, by)}"
        return self.call(method, path, headers=headers, **more)

    def get(self, path: str, by: str | None = "admin", **headers: str) -> httpx.Response:
        """Read an address."""
        return self("GET", path, by, headers=headers)

    def stored(self, document: Any = None, by: str = "write", **changes: Any) -> str:
        """Store a document and return the id of the scenario."""
        sent = small_document(**changes) if document is None else document
        answer = self("POST", "/v1/scenarios", by, json=sent)
        assert answer.status_code == 201, answer.text
        return answer.json()["id"]

    def link(self, scenario: str, access: str = "read", days: int = 90) -> str:
        """Make a share link of a scenario and return its token."""
        answer = self(
            "POST",
            f"/v1/scenarios/{scenario}/links",
            "write",
            json={"access": access, "label": f"{access} link", "expires_in_days": days},
        )
        assert answer.status_code == 201, answer.text
        return answer.json()["token"]


def without_request_id(answer: httpx.Response) -> Any:
    """Return what two answers must share to be alike: status, body and telling headers."""
    kept = {name: answer.headers.get(name) for name in ("content-type", "cache-control", "etag")}
    return answer.status_code, answer.content, kept


def unpacked(body: bytes) -> Any:
    """Return what a stored costing holds."""
    return json.loads(gzip.decompress(body))
