"""Requests against bare routes that do the same work, and what stands around the routes."""

import json
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import orjson
from fastapi import FastAPI
from pydantic import BaseModel, TypeAdapter
from starlette.requests import Request
from starlette.responses import Response

from service.costing.engine import cost
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.demo import demo_document
from service.web.openapi import EXAMPLES
from service.web.reading import scenario_of
from tests.benchmarks.in_process import Served, opened_desk, whole_app
from tests.benchmarks.measure import Measure
from tests.benchmarks.ratio import Clock, Compared, compared
from tests.support.databases import PostgresqlServer, postgresql_server

COSTINGS = "/v1/costings"
SCENARIOS = "/v1/scenarios"
OK, MADE = 200, 201
FACTOR, ADDED = 1.5, 6.0
"""How many times the engine's own time a costing over HTTP may take, and what beside it [ms]."""
SLOW_ROUNDS = 9


class Asked(BaseModel):
    """The body of a costing request as a bare route declares it.

    What is inside reads JSON alone, which FastAPI does not hand on.
    """

    document: dict[str, Any]


class Read(BaseModel):
    """The same, read from the body as it comes."""

    document: Scenario


_SCENARIO, _READ = TypeAdapter(Scenario), TypeAdapter(Read)


def _answer(scenario: Scenario, given: dict[str, Any]) -> Response:
    answer = costing_document(cost(scenario), given=given)
    content = orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY)
    return Response(content, media_type="application/json")


def small_body() -> bytes:
    """Return the request of the documentation: sixty cows, three systems."""
    example = json.loads((EXAMPLES / "cost_document_ring_against_pad.json").read_text("utf-8"))
    return json.dumps(example["request"]).encode()


def bare_app() -> FastAPI:
    """Return routes that read, cost and answer as little around it as can be; nothing is stored."""
    app = FastAPI(openapi_url=None)

    @app.post("/declared")
    async def declared(asked: Asked) -> Response:
        return _answer(_SCENARIO.validate_json(orjson.dumps(asked.document)), asked.document)

    @app.post("/raw")
    async def raw(request: Request) -> Response:
        body = await request.body()
        return _answer(_READ.validate_json(body).document, orjson.loads(body)["document"])

    return app


def against_bare_routes() -> Iterator[Measure]:
    """T1 and T1b, and the demo over HTTP against the engine."""
    ours, bare = Served(whole_app()), Served(bare_app())
    document = demo_document()
    for name, body in (
        ("demo", json.dumps({"document": document}).encode()),
        ("two systems", small_body()),
    ):
        whole = _asked(ours, COSTINGS, body)
        for mark, route, way, aim in (
            ("T1", "/declared", "declared body", 0.6),
            ("T1b", "/raw", "raw body", 0.65),
        ):
            same = _asked(bare, route, body)
            if same() != whole():
                message = "the bare route must answer what ours answers, to the byte"
                raise ValueError(message)
            found = compared(same, whole)
            yield found.ratio(f"{mark} {name}, bare route ({way}) / ours", least=0.6, aim=aim)
    yield from _against_engine(ours, document)


def _against_engine(ours: Served, document: dict[str, Any]) -> Iterator[Measure]:
    scenario = scenario_of(document)
    body = json.dumps({"document": document}).encode()

    def systems_alone() -> object:
        return cost(scenario)

    def whole_answer() -> object:
        return costing_document(cost(scenario), given=document)

    whole = compared(_asked(ours, COSTINGS, body), whole_answer)
    alone = compared(_asked(ours, f"{COSTINGS}?check_first=false", body), systems_alone)
    for what, engine, found in (
        ("with what to check first", "all that the answer tells", whole),
        ("without it", "the systems alone", alone),
    ):
        yield Measure(f"demo over HTTP, {what}", found.first_ms, "ms")
        yield Measure(f"  engine: {engine}", found.second_ms, "ms")
        yield Measure(
            f"  over HTTP less {FACTOR:g} times that",
            found.first_ms - FACTOR * found.second_ms,
            "ms",
            ADDED,
        )


def around_the_routes() -> Iterator[Measure]:
    """T2: all that stands around the routes against nothing."""
    with tempfile.TemporaryDirectory() as folder, opened_desk(Path(folder)) as (desk, token):
        apps = [whole_app(desk), whole_app(desk)]
        apps[1].user_middleware.clear()
        headers = {"authorization": f"Bearer {token}"}
        whole, without = (Served(app, headers) for app in apps)
        body = small_body()
        costing = compared(_asked(whole, COSTINGS, body), _asked(without, COSTINGS, body))
        yield costing.ratio("T2 costing, with middleware / without", most=1.1, aim=1.05)
        _, told = whole("POST", SCENARIOS, json.dumps(_unnamed()).encode())
        address = f"{SCENARIOS}/{json.loads(told)['id']}"
        head = compared(_asked(whole, address), _asked(without, address))
        yield head.ratio("   scenario by id, the same")
        yield Measure("   what all of it takes of a request", head.first_ms - head.second_ms, "ms")


def against_null_routes() -> Iterator[Measure]:
    """T6b: storing and reading against routes without a database, on both."""
    yield from _null_routes("SQLite", None)
    with postgresql_server() as server:
        yield from _null_routes("PostgreSQL", server)


def _null_routes(name: str, server: PostgresqlServer | None) -> Iterator[Measure]:
    with tempfile.TemporaryDirectory() as folder:
        if server is None:
            yield from _null_routes_at(name, Path(folder), None, time.process_time)
            return
        with server.new(empty=True) as address:
            yield from _null_routes_at(name, Path(folder), address, time.perf_counter)


def _null_routes_at(
    name: str, folder: Path, address: str | None, clock: Clock
) -> Iterator[Measure]:
    with opened_desk(folder, address) as (desk, token):
        ours = Served(whole_app(desk), {"authorization": f"Bearer {token}"})
        body = json.dumps(_unnamed()).encode()
        status, told = ours("POST", SCENARIOS, body)
        if status != MADE:
            raise ValueError(told)
        kept = f"{SCENARIOS}/{json.loads(told)['id']}"
        null = Served(_null_app(told, ours("GET", kept)[1]))
        for mark, path, least, aim in (
            ("body left unread", "/unread", None, None),
            ("body read and checked", "/checked", 0.2, 0.27),
        ):
            bounds = {} if least is None or aim is None else {"least": least, "aim": aim}
            found = _posted(ours, null, path, body, clock)
            yield found.ratio(f"T6b {name}, null POST, {mark} / ours", **bounds)
        read = compared(_asked(null, "/kept"), _asked(ours, kept), clock=clock)
        yield read.ratio(f"T6b {name}, null GET / scenario by id", least=0.25, aim=0.38)


def _posted(ours: Served, null: Served, path: str, body: bytes, clock: Clock) -> Compared:
    return compared(
        _asked(null, path, body, MADE), _asked(ours, SCENARIOS, body, MADE), SLOW_ROUNDS, clock
    )


def _null_app(made: bytes, kept: bytes) -> FastAPI:
    """Return routes that take and answer the same and store nothing."""
    app = FastAPI(openapi_url=None)

    @app.post("/unread")
    async def unread(request: Request) -> Response:
        await request.body()
        return Response(made, MADE, media_type="application/json")

    @app.post("/checked")
    async def checked(request: Request) -> Response:
        scenario_of(orjson.loads(await request.body()))
        return Response(made, MADE, media_type="application/json")

    @app.get("/kept")
    async def get_kept() -> Response:
        return Response(kept, media_type="application/json")

    return app


def _unnamed() -> dict[str, Any]:
    """Return the demo without the id that only one scenario can have."""
    return {name: value for name, value in demo_document().items() if name != "external_id"}


def _asked(served: Served, path: str, body: bytes = b"", wanted: int = OK) -> Any:
    """Return what asks once, and fails if the answer is another than is wanted."""
    method = "POST" if body else "GET"

    def asked() -> bytes:
        status, told = served(method, path, body)
        if status != wanted:
            raise ValueError(told[:500])
        return told

    return asked
