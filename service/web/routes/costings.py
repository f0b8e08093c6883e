"""Costing a document or a stored scenario: the answer goes out whole, nothing is stored."""

from collections.abc import Callable
from functools import partial
from typing import Annotated

from anyio.to_thread import run_sync
from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.desk import Caller, Document
from service.scenarios.winters import Recorded, record_of, recorded
from service.web.answers import faults_told
from service.web.attending import acting, desk_of, shown_by
from service.web.bodies import refuse_other_types
from service.web.costed import costed
from service.web.costing_request import CostingRequest, envelope_pointer, read_request
from service.web.engine_turns import in_turn
from service.web.identifiers import possible
from service.web.negotiation import JSON
from service.web.problem_kinds import UNKNOWN_SCENARIO
from service.web.problems import ProblemError
from service.web.stored_revision import revision_of

WEATHER_RECORD = "winter.weather_record"
LARGE_BODY = 32_768
"""Larger bodies are read in a thread, so that others are answered meanwhile."""

router = APIRouter(tags=["Costing"])


class CostingParameters(BaseModel):
    """What the answer should hold."""

    model_config = ConfigDict(extra="forbid")

    workings: bool = Field(
        default=False,
        title="Workings",
        description="Whether each line unfolds to the inputs and reference values it is made of.",
    )
    check_first: bool = Field(
        default=True,
        title="Check first",
        description="Whether to look for the three guesses to check first. They take most of the "
        "time of an answer: a program that costs many farms can do without.",
    )


@router.post(
    "/v1/costings",
    operation_id="cost_document",
    summary="Cost a scenario",
    openapi_extra={"x-body": "CostingRequest", "x-answer": "Costing"},
)
async def cost_document(
    request: Request, parameters: Annotated[CostingParameters, Query()]
) -> Response:
    """Cost every system of a scenario and compare them; nothing is stored.

    `set` changes single inputs by their paths before it is costed. A stored scenario is costed at
    its newest revision, for a key or link that may read it; a document is costed for everybody
    where the service is open to that, else for any key or link.
    """
    body = await request.body()

    def answered(caller: Caller) -> Response:
        refuse_other_types(request)
        asked = _read(body)
        about = asked if asked.scenario is None else _found(request, caller, asked)
        return _answer(about, parameters, partial(recorded, desk_of(request), caller.office_id))

    if not request.app.state.open_costing:
        return await acting(request, answered)
    refuse_other_types(request)
    asked = await run_sync(_read, body) if len(body) > LARGE_BODY else _read(body)
    if asked.scenario is not None:
        if request.app.state.desk is None:
            raise ProblemError(UNKNOWN_SCENARIO)
        return await acting(request, answered)
    if needs_records(request, asked):
        return await acting(request, answered)
    return await in_turn(lambda: _answer(asked, parameters))


def needs_records(request: Request, asked: CostingRequest) -> bool:
    """Whether a document takes its winters from a record, and a token is shown that may see it."""
    named = record_of(asked.document or {}) is not None or WEATHER_RECORD in asked.settings
    return named and request.app.state.desk is not None and shown_by(request) is not None


def _read(body: bytes) -> CostingRequest:
    with faults_told(envelope_pointer):
        return read_request(body)


def _found(request: Request, caller: Caller, asked: CostingRequest) -> CostingRequest:
    """Return a request with the document of the scenario that it names."""
    kept = revision_of(desk_of(request), caller, possible(asked.scenario or ""))
    return asked.about(kept.document)


def _answer(
    asked: CostingRequest,
    parameters: CostingParameters,
    with_winters: Callable[[Document], Recorded] = Recorded,
) -> Response:
    with faults_told(asked.pointer):
        document, faults = asked.settled()
        answer = costed(
            document,
            faults,
            sound=asked.sound,
            workings=parameters.workings,
            check_first=parameters.check_first,
            with_winters=with_winters,
        )
    return Response(answer, media_type=JSON, headers={"Cache-Control": "no-store"})
