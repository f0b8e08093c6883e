"""Costings of stored scenarios: as of now, as they were stored, and how they were made."""

import gzip
from collections.abc import Mapping
from typing import Annotated

from anyio.to_thread import run_sync
from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import Receive, Scope, Send

from service.scenarios import costings
from service.scenarios.desk import Caller, Desk
from service.scenarios.records import CostingSummary, StoredCosting
from service.scenarios.repositories import Session
from service.web.answers import faults_told, is_head, json_answer, not_modified
from service.web.attending import TokenParameter, acting, desk_of, opened_answer, opening, reading
from service.web.costing_forms import WHOLE, CostingForm, form_of
from service.web.costing_parameters import (
    AGAINST,
    COSTING,
    FORM_PARAMETERS,
    STORED_COSTING,
    stored_query,
)
from service.web.costing_tables import stored_table, what_if_table
from service.web.cursors import PageParameters, Paging, Position
from service.web.encodings import takes_gzip
from service.web.identifiers import (
    MOST_REVISIONS,
    CostingId,
    ScenarioId,
    possible,
    possible_costing,
)
from service.web.negotiation import JSON
from service.web.preconditions import has_already
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError
from service.web.query_settings import CostingQuery, costing_query
from service.web.scenario_answers import REVALIDATED, address_of, costing_item
from service.web.stored_revision import revision_of
from service.web.what_if import what_if
from service.web.workings_part import workings_part

IMMUTABLE = "private, max-age=31536000, immutable"
VARY = "Accept, Accept-Encoding"

router = APIRouter(tags=["Scenarios"])


class CostingListParameters(PageParameters):
    """Which stored costings to list."""

    revision: int | None = Field(
        None, ge=1, le=MOST_REVISIONS, title="Revision", description="Only those of this revision."
    )


class WorkingsParameters(TokenParameter):
    """Which part of the workings to return."""

    system: str | None = Field(
        None, max_length=100, title="System", description="A key, best or baseline; all, if not."
    )
    line: str | None = Field(
        None, max_length=100, title="Line", description="Key of a line of cost; all, if not given."
    )
    revision: int | None = Field(
        None, ge=1, le=MOST_REVISIONS, title="Revision", description="The newest, if not given."
    )


@router.get(
    "/v1/scenarios/{scenario}/costings/{costing}",
    operation_id="get_stored_costing",
    summary="A stored costing",
    openapi_extra={
        "x-answer": "Costing",
        "x-table": True,
        "x-workbook": True,
        "parameters": STORED_COSTING,
    },
)
async def get_stored_costing(
    request: Request, scenario: ScenarioId, costing: CostingId
) -> Response:
    """Return a costing as it was stored; it never changes.

    Where the engine or the reference edition has moved since, a `Link` leads to the costing as of
    now, and `against=now` answers what differs, by system and line. Tables and the workbook are
    asked for as those of the costing as of now.
    """
    desk = desk_of(request)
    given = stored_query(request)
    asked = form_of(request, given)
    if AGAINST in given:
        _refuse_form(given, asked)
        return await acting(request, lambda caller: _difference(desk, caller, scenario, costing))
    known = await opening(request, desk, scenario, costing)
    headers = {"Cache-Control": IMMUTABLE}
    if costings.moved(desk, known.costing):
        headers["Link"] = f'<{address_of(scenario)}/costing>; rel="latest-version"'
    if asked.whole:
        response = _as_stored(request, known.costing, headers)
    else:
        response = await run_sync(stored_table, request, known.costing, asked, headers)
    return await opened_answer(request, desk, known, response)


class _Quickly:
    """The same without what FastAPI does for each request, which would take longer than the rest.

    The description is made from the route above.
    """

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        scope["route"] = QUICK  # FastAPI says so of its own routes alone
        request = Request(scope, receive)
        asked = request.path_params
        scenario, costing = possible(asked["scenario"]), possible_costing(asked["costing"])
        response = await get_stored_costing(request, scenario, costing)
        await response(scope, receive, send)


QUICK = Route("/v1/scenarios/{scenario}/costings/{costing}", _Quickly(), methods=["GET"])


@router.get("/v1/scenarios/{scenario}/costing.xlsx", include_in_schema=False)
@router.get("/v1/scenarios/{scenario}/costing.csv", include_in_schema=False)
@router.get("/v1/scenarios/{scenario}/costing.json", include_in_schema=False)
@router.get(
    "/v1/scenarios/{scenario}/costing",
    operation_id="get_costing",
    summary="A scenario's costing as of now",
    openapi_extra={
        "x-answer": "Costing",
        "x-table": True,
        "x-workbook": True,
        "parameters": COSTING,
    },
)
async def get_costing(request: Request, scenario: ScenarioId) -> Response:
    """Return the costing of the newest revision, or of another, by the engine of now.

    It is stored when it is first read; `Content-Location` names it. `set.<path>=value` changes
    single inputs for this answer alone, which is not stored; a value may carry a unit, as 590 kg.

    As CSV it is one table: `table`, the lines of cost if not given; `table` with JSON gives an
    array of records. As XLSX it is a workbook of all tables, with charts, inputs and workings.
    """
    desk = desk_of(request)

    def work(caller: Caller) -> Response:
        query = costing_query(request, FORM_PARAMETERS)
        asked = form_of(request, query.others)
        with faults_told():
            if query.settings:
                return _what_if(desk, caller, scenario, query, asked)
            keep = not is_head(request)
            found = costings.costing_now(desk, caller, scenario, query.revision, keep=keep)
        headers = {"Cache-Control": REVALIDATED}
        if found.id:
            stored = f"{address_of(scenario)}/costings/{found.id}"
            headers["Content-Location"] = asked.address(stored)
        if asked.whole:
            return _as_stored(request, found, headers)
        return stored_table(request, found, asked, headers)

    return await acting(request, work)


@router.get(
    "/v1/scenarios/{scenario}/costing/workings",
    operation_id="get_workings",
    summary="How the numbers of a costing were made",
    openapi_extra={"x-answer": "Workings"},
)
async def get_workings(
    request: Request, scenario: ScenarioId, parameters: Annotated[WorkingsParameters, Query()]
) -> Response:
    """Return how each line of each system was made, down to inputs and reference values.

    Figures are called by their place in `figures`. With `line`, a figure that adds up the amounts
    of several lines has null in the place of those of other lines.
    """
    desk = desk_of(request)

    def work(caller: Caller) -> Response:
        kept = revision_of(desk, caller, scenario, parameters.revision)
        with faults_told():
            return json_answer(workings_part(desk, kept, parameters.system, parameters.line))

    return await acting(request, work)


@router.get(
    "/v1/scenarios/{scenario}/costings",
    operation_id="list_costings",
    summary="The stored costings of a scenario",
    openapi_extra={"x-answer": "CostingList"},
)
async def list_costings(
    request: Request, scenario: ScenarioId, parameters: Annotated[CostingListParameters, Query()]
) -> Response:
    """List stored costings, the newest first: one per revision, engine and reference edition."""
    desk = desk_of(request)

    def shown(found: CostingSummary) -> Mapping[str, object]:
        return costing_item(found, costings.moved(desk, found))

    def work(session: Session, caller: Caller) -> Response:
        what = f"costings of {scenario}"
        narrowed = {"revision": parameters.revision}
        paging = Paging(request, desk, caller, what, parameters, narrowed)
        before = str(paging.position[0]) if paging.position else None
        rows = costings.costings(
            session, caller, scenario, parameters.revision, before, paging.wanted
        )
        return paging.answer(rows, shown, _by_id)

    return await reading(request, work)


def _by_id(costing: CostingSummary) -> Position:
    return (costing.id,)


def _difference(desk: Desk, caller: Caller, scenario: str, costing: str) -> Response:
    with faults_told():
        return json_answer(costings.difference(desk, caller, scenario, costing))


def _refuse_form(given: Mapping[str, str], asked: CostingForm) -> None:
    """Refuse what has changed in another form than JSON."""
    if asked != WHOLE:
        detail = "What has changed is answered as JSON; leave out against, or the form."
        raise ProblemError(
            INVALID_PARAMETER,
            errors=[{"input": AGAINST, "detail": detail, "received": given[AGAINST]}],
        )


def _what_if(
    desk: Desk, caller: Caller, scenario: str, query: CostingQuery, asked: CostingForm
) -> Response:
    kept, body = what_if(desk, caller, scenario, query)
    if not asked.whole:
        return what_if_table(kept, body, asked)
    return Response(body, media_type=JSON, headers={"Cache-Control": "no-store", "Vary": "Accept"})


def _as_stored(request: Request, costing: StoredCosting, headers: Mapping[str, str]) -> Response:
    """Answer with the bytes of a costing, compressed as they are where the caller takes that.

    One that is not stored has no id, hence no ETag; its length is not that of the stored one.
    """
    packed = takes_gzip(request.headers.get("Accept-Encoding", ""))
    about = {**headers, "Vary": VARY}
    if costing.id:
        about["ETag"] = f'"{costing.id}-gzip"' if packed else f'"{costing.id}"'
        if has_already(request, about["ETag"]):
            return not_modified(about)
    if packed:
        about["Content-Encoding"] = "gzip"
    body = costing.result if packed else gzip.decompress(costing.result)
    response = Response(body, media_type=JSON, headers=about)
    if not costing.id:
        del response.headers["Content-Length"]
    return response
