"""An application called without a socket, and a service that keeps scenarios in a real database."""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from pydantic import SecretStr

from service.scenarios.desk import Desk
from service.scenarios.sharing import make_key_on_host
from service.settings import Settings
from service.store.opening import close_desk, open_desk
from service.store.upgrading import prepare
from service.web.app import create_app
from service.web.doorway import Doorway
from service.web.facts_reading import facts_of
from service.web.reading import prepare as prepare_reading
from service.web.reading import scenario_of

JSON = {"content-type": "application/json"}
Message = dict[str, Any]


@dataclass
class Served:
    """An application that is called as a server would, upon one event loop."""

    app: Callable[..., Awaitable[None]]
    headers: dict[str, str] = field(default_factory=dict)
    loop: asyncio.AbstractEventLoop = field(default_factory=asyncio.new_event_loop)

    def __call__(self, method: str, path: str, body: bytes = b"") -> tuple[int, bytes]:
        """Send one request and return status and body of the answer."""
        return self.loop.run_until_complete(self._answered(method, path, body))

    async def _answered(self, method: str, path: str, body: bytes) -> tuple[int, bytes]:
        address, _, query = path.partition("?")
        fields = {"host": "127.0.0.1", "content-length": str(len(body)), **JSON, **self.headers}
        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": address,
            "raw_path": address.encode(),
            "query_string": query.encode(),
            "root_path": "",
            "headers": [(name.encode(), value.encode()) for name, value in fields.items()],
            "client": ("127.0.0.1", 1),
            "server": ("127.0.0.1", 80),
        }
        sent: list[Message] = []
        waiting = asyncio.Event()
        whole = [{"type": "http.request", "body": body, "more_body": False}]

        async def receive() -> Message:
            if whole:
                return whole.pop()
            await waiting.wait()
            return {"type": "http.disconnect"}

        async def send(message: Message) -> None:
            sent.append(message)

        await self.app(scope, receive, send)
        return sent[0]["status"], b"".join(part.get("body", b"") for part in sent[1:])


def whole_app(desk: Desk | None = None) -> FastAPI:
    """Return the application as it is served: with limits, which nothing here comes near."""
    prepare_reading()
    unstinted = Settings(units_per_minute=10**9, units_per_minute_by_address=10**9)
    return create_app(desk, doorway=Doorway.of(unstinted))


@contextmanager
def opened_desk(folder: Path, database: str | None = None) -> Iterator[tuple[Desk, str]]:
    """Yield a desk at an SQLite file in a folder, or at a database, and the token of a key."""
    secret = None if database is None else SecretStr(database)
    settings = Settings(data=folder, database=secret)
    prepare(settings, migrate=True)
    desk = open_desk(settings, scenario_of, facts_of)
    try:
        yield desk, make_key_on_host(desk, "Office", "admin", "benchmark", 1)[2]
    finally:
        close_desk(desk)
