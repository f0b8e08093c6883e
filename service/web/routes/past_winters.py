"""Winters as they were: recorded fact by fact, on a phone by whoever holds an edit link."""

from typing import Annotated

from fastapi import APIRouter, Path, Query
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import past_winters
from service.scenarios.desk import Caller
from service.scenarios.repositories import Session
from service.web.answers import json_answer
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import json_body
from service.web.identifiers import ScenarioId
from service.web.past_winter_bodies import sent_facts, winter_answer, winter_body
from service.web.preconditions import expected_version

SeasonName = Annotated[
    str,
    Path(
        max_length=20,
        title="Season",
        description="A winter by its years, as 2026-27; 2027 if it begins and ends in one year.",
    ),
]

router = APIRouter(tags=["After the decision"])


@router.put(
    "/v1/scenarios/{scenario}/winters/{season}",
    operation_id="record_winter",
    summary="Record a winter as it was",
    responses={201: {"description": "It was not recorded before."}},
    openapi_extra={"x-body": "WinterRequest", "x-answer": "PastWinter"},
)
async def record_winter(request: Request, scenario: ScenarioId, season: SeasonName) -> Response:
    """Record any of the facts of a winter; needs a key with write access or an edit link.

    What is not sent is not known. Without a system it is the one that stands, else the best of the
    plan; without a planned revision the one that stands, else the newest. To change a winter that
    is recorded `If-Match` is needed; the body then takes the place of all facts that stand. With
    `If-None-Match: *` nothing that stands is changed. Facts that stand already are answered again.
    """
    sent = await json_body(request)

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        stands = past_winters.standing_version(desk, caller, scenario, season)
        expected = expected_version(request, stands)
        given = sent_facts(sent)
        with given.faults_told():
            winter = past_winters.record_winter(
                desk, caller, scenario, season, given.facts, expected
            )
        return winter_answer(request, winter, made=stands is None)

    return await acting(request, work)


@router.get(
    "/v1/scenarios/{scenario}/winters/{season}",
    operation_id="get_winter",
    summary="A winter as it was",
    openapi_extra={"x-answer": "PastWinter"},
)
async def get_winter(
    request: Request,
    scenario: ScenarioId,
    season: SeasonName,
    parameters: Annotated[TokenParameter, Query()],
) -> Response:
    """Return what was recorded of a winter; the ETag is that of its version."""
    del parameters

    def work(session: Session, caller: Caller) -> Response:
        return winter_answer(request, past_winters.winter(session, caller, scenario, season))

    return await reading(request, work)


@router.get(
    "/v1/scenarios/{scenario}/winters",
    operation_id="list_winters",
    summary="The recorded winters of a scenario",
    openapi_extra={"x-answer": "PastWinterList"},
)
async def list_winters(
    request: Request, scenario: ScenarioId, parameters: Annotated[TokenParameter, Query()]
) -> Response:
    """List the winters that were recorded, the oldest first; a scenario has at most 200."""
    del parameters

    def work(session: Session, caller: Caller) -> Response:
        kept = past_winters.winters(session, caller, scenario)
        return json_answer({"items": [winter_body(one) for one in kept], "next": None})

    return await reading(request, work)
