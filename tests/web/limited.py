"""A service with limits, whose clock a test moves, called from addresses of the test's choice."""

import asyncio
from typing import Any

import httpx

from service.web.app import create_app
from service.web.doorway import Doorway
from service.web.limiting.amounts import Amounts
from tests.web.conftest import Caller
from tests.web.keeping import Keeping

HOME, AWAY = "192.0.2.1", "198.51.100.7"
"""Addresses for documentation (RFC 5737, section 3)."""


class Clock:
    """A clock that goes when it is told to."""

    def __init__(self, now: float = 1_000.0) -> None:
        self.now = now

    def __call__(self) -> float:
        """Return the time [s]."""
        return self.now

    def go(self, seconds: float) -> None:
        """Let time pass."""
        self.now += seconds


class From(Caller):
    """Calls the application from an address."""

    def __init__(self, app: Any, address: str) -> None:
        super().__init__(app)
        self.address = address

    def __call__(self, method: str, path: str, **more: Any) -> httpx.Response:
        """Send one request."""

        async def answered() -> httpx.Response:
            transport = httpx.ASGITransport(
                app=self.app, raise_app_exceptions=False, client=(self.address, 50_000)
            )
            async with httpx.AsyncClient(
                transport=transport, base_url="http://winterground"
            ) as client:
                return await client.request(method, path, **more)

        return asyncio.run(answered())


class Limited(Keeping):
    """A service that keeps scenarios and limits what is asked of it."""

    def __init__(self, by_credential: int = 300, by_address: int = 300, **doorway: Any) -> None:
        self.time = Clock()
        amounts = Amounts(by_credential, by_address, clock=self.time)
        super().__init__(create_app(doorway=Doorway(amounts, **doorway)))
        self.call = From(self.app, HOME)

    def at(self, address: str) -> "Limited":
        """Come from an address from now on."""
        self.call = From(self.app, address)
        return self

    def spend(self, path: str, by: str | None = None, most: int = 600) -> int:
        """Ask again and again; return how often it was answered before it was refused."""
        for count in range(most):
            if self.get(path, by).status_code == 429:
                return count
        return most
