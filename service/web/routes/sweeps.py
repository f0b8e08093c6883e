"""Sweeps: many farms or settings at once, their results and what was wrong with farms."""

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from pydantic import AfterValidator, Field
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from service.scenarios import sweeps
from service.scenarios.access import needs
from service.scenarios.desk import Caller, Desk
from service.scenarios.replays import Then
from service.scenarios.repositories import Session
from service.scenarios.sweep_records import Sweep
from service.scenarios.sweeps import NewSweep
from service.web.analysis_answers import ACCEPTED, RETRY_AFTER
from service.web.answers import faults_told, is_head, json_answer
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import (
    Body,
    Sent,
    json_body,
    posted_once,
    refuse_content,
    refuse_other_types,
)
from service.web.cursors import PageParameters, Paging
from service.web.identifiers import possible
from service.web.limiting.meter import parts_asked
from service.web.negotiation import CSV, JSON, DialectParameter, attached
from service.web.problem_kinds import RESULTS_NOT_READY
from service.web.problems import ProblemError
from service.web.routes.office import NO_STORE, last_id
from service.web.sweep_answers import (
    COMPLETE,
    SWEEPS,
    address_of_sweep,
    headers_of,
    in_dialect,
    is_complete,
    started_answer,
    sweep_body,
)
from service.web.sweep_bodies import read_sweep, sweep_pointer
from service.web.sweep_query import PARAMETERS, refuse_query, sweep_in_table
from service.web.tables import media_type

SweepId = Annotated[
    str, Path(title="Sweep", description="Id of a sweep."), AfterValidator(possible)
]

router = APIRouter(tags=["Many farms"])


class ResultsParameters(TokenParameter, DialectParameter):
    """In which form results come, and whether only once they are all there."""

    partial: bool = Field(
        default=False, title="Partial", description="Take the rows that are there."
    )


@router.post(
    SWEEPS,
    status_code=201,
    operation_id="start_sweep",
    summary="Cost many farms or settings",
    responses={202: {"description": "It is being worked on; look again at Location."}},
    openapi_extra={
        "x-body": "SweepRequest",
        "x-answer": "Sweep",
        "x-rows": True,
        "parameters": PARAMETERS,
    },
)
async def start_sweep(request: Request) -> Response:
    """Cost each farm with each combination of the varied values; needs a key with write access.

    Send JSON; or a table as CSV, a line for each farm, with a column `external_id` and a column for
    each input path, `?scenario=` and, if wanted, `vary.<path>=` with values between commas. There
    a value may carry a unit, and an empty cell changes nothing. A farm that cannot be costed
    becomes a row that says why, and fails nothing else. A body may have 10 MiB.
    """
    raw = await request.body()

    def work(caller: Caller) -> Response:
        needs(caller, "write", office=True)
        desk = desk_of(request)
        if refuse_other_types(request, (JSON, CSV)) == CSV:
            return _of_table(request, desk, caller, raw)
        with faults_told():
            refuse_query(request)
        sent = Sent(raw)
        pointer = sweep_pointer(sent.value)
        with faults_told(pointer):
            asked = read_sweep(sent.value, sound=sent.sound)
        return _started(request, desk, caller, sent, asked, pointer)

    response = await acting(request, work)
    if response.status_code == ACCEPTED:
        request.app.state.workers.wake()
    return response


def _of_table(request: Request, desk: Desk, caller: Caller, raw: bytes) -> Response:
    with faults_told():
        asked = sweep_in_table(request, desk, caller, raw)
    # What stands in the address is a part of what is asked.
    sent = Body(request.url.query.encode() + b"\n" + raw)
    return _started(request, desk, caller, sent, asked)


def _started(
    request: Request,
    desk: Desk,
    caller: Caller,
    sent: Body,
    asked: NewSweep,
    pointer: Callable[[str], str] | None = None,
) -> Response:
    def act(then: Then[Sweep]) -> Sweep:
        with faults_told(pointer):
            started = sweeps.start_sweep(desk, caller, asked, then)
        parts_asked(started.total)
        return started

    return posted_once(request, desk, caller, sent, act, started_answer)


@router.get(f"{SWEEPS}.json", include_in_schema=False)
@router.get(
    SWEEPS,
    operation_id="list_sweeps",
    summary="The office's sweeps",
    openapi_extra={"x-answer": "SweepList"},
)
async def list_sweeps(request: Request, parameters: Annotated[PageParameters, Query()]) -> Response:
    """List the sweeps of the office, the newest first; needs an office key."""

    def work(session: Session, caller: Caller) -> Response:
        paging = Paging(request, desk_of(request), caller, "sweeps", parameters)
        rows = sweeps.sweeps_of(session, caller, last_id(paging), paging.wanted)
        return paging.answer(rows, sweep_body, lambda row: (row.id,))

    return await reading(request, work)


@router.get(
    f"{SWEEPS}/{{sweep}}",
    operation_id="get_sweep",
    summary="A sweep, as far as it is",
    openapi_extra={"x-answer": "Sweep"},
)
async def get_sweep(
    request: Request, sweep: SweepId, parameters: Annotated[TokenParameter, Query()]
) -> Response:
    """Read how far a sweep is; while it is queued or running, Retry-After says when to look again.

    Needs an office key.
    """
    del parameters

    def work(session: Session, caller: Caller) -> Response:
        found = sweeps.sweep_of(session, caller, sweep)
        return json_answer(sweep_body(found), headers=headers_of(found))

    return await reading(request, work)


@router.get(
    f"{SWEEPS}/{{sweep}}/results.csv",
    operation_id="get_sweep_results",
    summary="The results of a sweep",
    response_class=Response,
    responses={
        200: {
            "content": {CSV: {"schema": {"type": "string"}}},
            "headers": {
                COMPLETE: {
                    "description": "Whether these are all rows.",
                    "schema": {"type": "string", "enum": ["true", "false"]},
                }
            },
        }
    },
)
async def get_sweep_results(
    request: Request, sweep: SweepId, parameters: Annotated[ResultsParameters, Query()]
) -> Response:
    """Return a row for each farm, setting and system, or one for a farm that cannot be costed.

    `status` is ok, refused (the farm's inputs say why, in `problem`) or failed. While the sweep is
    open this is answered by 503 and Retry-After, unless `partial=true`; a sweep that was cancelled
    has the rows that were done. Needs an office key.
    """

    def work(session: Session, caller: Caller) -> Response:
        found = sweeps.sweep_of(session, caller, sweep)
        if headers_of(found) and not parameters.partial:
            raise ProblemError(RESULTS_NOT_READY, headers=RETRY_AFTER)
        rows = () if is_head(request) else sweeps.results(desk_of(request), found)
        return StreamingResponse(
            in_dialect(sweeps.request_of(found)["columns"], rows, parameters.dialect),
            media_type=media_type(parameters.dialect),
            headers=NO_STORE
            | attached("sweep-results", "csv", parameters.dialect)
            | {COMPLETE: "true" if is_complete(found) else "false"},
        )

    return await reading(request, work)


@router.get(
    f"{SWEEPS}/{{sweep}}/problems",
    operation_id="list_sweep_problems",
    summary="What was wrong with farms of a sweep",
    openapi_extra={"x-answer": "SweepProblemList"},
)
async def list_sweep_problems(
    request: Request, sweep: SweepId, parameters: Annotated[PageParameters, Query()]
) -> Response:
    """List the rows that are refused or failed, each with all its faults; needs an office key."""

    def work(session: Session, caller: Caller) -> Response:
        about = f"problems of {sweep}"
        paging = Paging(request, desk_of(request), caller, about, parameters)
        after = int(paging.position[0]) if paging.position else 0
        rows = sweeps.problems(session, caller, sweep, after, paging.wanted)
        return paging.answer(rows, _shown, lambda row: (row["row"],))

    return await reading(request, work)


def _shown(problem: dict[str, Any]) -> dict[str, Any]:
    return problem


@router.post(
    f"{SWEEPS}/{{sweep}}/cancel",
    status_code=202,
    operation_id="cancel_sweep",
    summary="Cancel a sweep",
    openapi_extra={"x-answer": "Sweep"},
)
async def cancel_sweep(request: Request, sweep: SweepId) -> Response:
    """Let a sweep end within about two seconds; asked twice is once. The rows that are done stay.

    What waits is cancelled at once. What has ended is refused by 409.
    """
    sent = await json_body(request, optional=True)

    def work(caller: Caller) -> Response:
        refuse_content(sent)
        found = sweeps.cancel_sweep(desk_of(request), caller, sweep)
        headers = {"Content-Location": address_of_sweep(found), **headers_of(found)}
        return json_answer(sweep_body(found), ACCEPTED, headers)

    return await acting(request, work)


@router.delete(
    f"{SWEEPS}/{{sweep}}",
    status_code=204,
    operation_id="forget_sweep",
    summary="Forget a sweep",
)
async def forget_sweep(request: Request, sweep: SweepId) -> Response:
    """Forget a sweep with its results; if it is being worked on, that comes to nothing."""

    def work(caller: Caller) -> Response:
        sweeps.forget_sweep(desk_of(request), caller, sweep)
        return Response(status_code=204, headers=NO_STORE)

    return await acting(request, work)
