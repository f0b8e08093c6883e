"""Scenarios: stored, listed, read, changed, copied, put into the bin, taken out of it, erased."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Annotated, Any

from fastapi import APIRouter, Query
from pydantic import AwareDatetime, Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import keeping
from service.scenarios.access import needs
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.erasure import erase
from service.scenarios.keeping import Kept
from service.scenarios.records import Head
from service.scenarios.replays import Then
from service.scenarios.repositories import Listing, Session
from service.web.answers import faults_told, json_answer
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import Sent, json_body, posted_once, refuse_content
from service.web.cursors import PageParameters, Paging, Position
from service.web.identifiers import ScenarioId, ScenarioSheetId
from service.web.negotiation import SheetParameters, form_wanted
from service.web.pages.answered_page import ASKED
from service.web.preconditions import expected_revision
from service.web.request_models import CopyRequest, ErasureRequest, member_pointer, read_as
from service.web.scenario_answers import (
    erasure_body,
    posted_answer,
    scenario_answer,
    scenario_item,
)
from service.web.scenario_body import SentDocument, refuse_unsound, sent_patch
from service.web.settings_pointer import pointer_to_settings
from service.web.sheet_answer import sheet_answer
from service.web.sheet_body import document_in, replace_by_sheet, scenario_sent
from service.web.stored_revision import revision_of

Act = Callable[[Desk, Caller, str, int, Document, str | None], Kept]
"""Makes the next revision of a scenario from the one that the caller expects to stand."""

LOOK_BACK = timedelta(seconds=60)
"""Two changes can be committed in another order than their times say."""

EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
LATEST = datetime(9000, 1, 1, tzinfo=UTC)
ONE_LINE = r"^[^\x00-\x1f\x7f]+$"

router = APIRouter(tags=["Scenarios"])


class ScenarioListParameters(PageParameters):
    """Which scenarios to list."""

    external_id: str | None = Field(
        None,
        min_length=1,
        max_length=200,
        pattern=ONE_LINE,
        title="External id",
        description="Only the one that has it.",
    )
    updated_since: AwareDatetime | None = Field(
        None,
        title="Updated since",
        description="Only what was changed at or after this time (RFC 3339), the oldest change "
        "first. The list begins 60 seconds earlier, as two changes can be stored in another order "
        "than their times say: whoever copies it updates by id.",
    )
    binned: bool = Field(
        default=False, title="In the bin", description="Only what lies in the bin; for admin keys."
    )

    @property
    def since(self) -> datetime | None:
        """Where the list begins."""
        if self.updated_since is None:
            return None
        return min(max(self.updated_since, EARLIEST), LATEST).astimezone(UTC) - LOOK_BACK


class ScenarioParameters(TokenParameter, SheetParameters):
    """In which form to return a scenario."""


@router.post(
    "/v1/scenarios",
    status_code=201,
    operation_id="create_scenario",
    summary="Store a scenario",
    openapi_extra={"x-body": "ScenarioRequest", "x-answer": "KeptScenario", "x-sheet": True},
)
async def create_scenario(request: Request) -> Response:
    """Store a scenario document as revision 1.

    The body is the document, or `{"document": {...}, "remark": "..."}`, or an answer sheet as XLSX
    or CSV. Steps without a key get one, and the reference edition is stored with it.
    """
    sent = await scenario_sent(request)

    def work(caller: Caller) -> Response:
        needs(caller, "write", office=True)
        desk = desk_of(request)
        given = document_in(sent)

        def act(then: Then[Kept]) -> Kept:
            with given.faults_told():
                return keeping.create(desk, caller, given.document, given.remark, then)

        return posted_once(request, desk, caller, sent, act, posted_answer)

    return await acting(request, work)


@router.get("/v1/scenarios.json", include_in_schema=False)
@router.get(
    "/v1/scenarios",
    operation_id="list_scenarios",
    summary="The office's scenarios",
    openapi_extra={"x-answer": "ScenarioList"},
)
async def list_scenarios(
    request: Request, parameters: Annotated[ScenarioListParameters, Query()]
) -> Response:
    """List the scenarios of the office, the newest first, a page at a time."""
    since = parameters.since

    def work(session: Session, caller: Caller) -> Response:
        narrowed = {
            "external_id": parameters.external_id,
            "updated_since": since,
            "binned": parameters.binned,
        }
        paging = Paging(request, desk_of(request), caller, "scenarios", parameters, narrowed)
        after_id, *after_updated = paging.position or (None,)
        listing = Listing(
            limit=paging.wanted,
            external_id=parameters.external_id,
            binned=parameters.binned,
            updated_since=since,
            after_id=after_id if isinstance(after_id, str) else None,
            after_updated_at=_time_of(after_updated[0]) if after_updated else None,
        )
        rows = keeping.listed(session, caller, listing)
        return paging.answer(rows, scenario_item, _by_id if since is None else _by_change)

    return await reading(request, work)


@router.get(
    "/v1/scenarios/{scenario}",
    operation_id="get_scenario",
    summary="A scenario",
    openapi_extra={"x-answer": "KeptScenario", "x-sheet": True},
)
async def get_scenario(
    request: Request,
    scenario: ScenarioSheetId,
    parameters: Annotated[ScenarioParameters, Query()],
) -> Response:
    """Return a scenario with its newest document; the ETag is that of its revision.

    As XLSX or CSV it is the answer sheet filled in; sent back as it is, it changes nothing.
    """
    form = form_wanted(request, parameters.format, None)
    if form != "json":
        return await acting(
            request,
            lambda caller: sheet_answer(
                request, revision_of(desk_of(request), caller, scenario), form
            ),
        )

    def work(session: Session, caller: Caller) -> Response:
        kept = keeping.current(session, desk_of(request), caller, scenario)
        answer = scenario_answer(request, kept)
        answer.headers["Vary"] = "Accept"
        return answer

    return await reading(request, work)


@router.put(
    "/v1/scenarios/{scenario}",
    operation_id="replace_scenario",
    summary="Replace a scenario's document",
    openapi_extra={"x-body": "ScenarioRequest", "x-answer": "KeptScenario", "x-sheet": True},
)
async def replace_scenario(request: Request, scenario: ScenarioId) -> Response:
    """Store another document, or an answer sheet, as the next revision; needs `If-Match`.

    A document that already stands makes no new revision.
    """
    sent = await scenario_sent(request)
    act = keeping.replace if isinstance(sent, Sent) else replace_by_sheet
    return await _changed(request, scenario, lambda: document_in(sent), act)


@router.patch(
    "/v1/scenarios/{scenario}",
    operation_id="change_scenario",
    summary="Change parts of a scenario's document",
    openapi_extra={"x-body": "ScenarioPatch", "x-answer": "KeptScenario"},
)
async def change_scenario(request: Request, scenario: ScenarioId) -> Response:
    """Apply a merge patch (RFC 7396) to the document and store the next revision.

    Needs `If-Match`. Null removes a member; a list, such as a plan, is replaced whole. The body is
    the patch, or `{"document": {patch}, "remark": "..."}`. A patch that changes nothing makes no
    new revision.
    """
    sent = await json_body(request, merge_patch=True)
    return await _changed(request, scenario, lambda: sent_patch(sent), keeping.patch)


async def _changed(
    request: Request, scenario: str, read: Callable[[], SentDocument], act: Act
) -> Response:
    """Answer a request that makes the next revision from a body."""

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        expected = expected_revision(request, desk, caller, scenario, "change")
        given = read()
        with given.faults_told():
            kept = act(desk, caller, scenario, expected, given.document, given.remark)
        return scenario_answer(request, kept)

    return await acting(request, work)


@router.delete(
    "/v1/scenarios/{scenario}",
    status_code=204,
    operation_id="bin_scenario",
    summary="Put a scenario into the bin",
)
async def bin_scenario(request: Request, scenario: ScenarioId) -> Response:
    """Put a scenario into the bin, where it lies for 30 days; needs `If-Match`."""

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        expected = expected_revision(request, desk, caller, scenario, "write")
        keeping.put_in_bin(desk, caller, scenario, expected)
        return Response(status_code=204)

    return await acting(request, work)


@router.post(
    "/v1/scenarios/{scenario}/restore",
    operation_id="restore_scenario",
    summary="Take a scenario out of the bin",
    openapi_extra={"x-answer": "KeptScenario"},
)
async def restore_scenario(request: Request, scenario: ScenarioId) -> Response:
    """Take a scenario out of the bin, as it was put there."""
    sent = await json_body(request, optional=True)

    def work(caller: Caller) -> Response:
        refuse_content(sent)
        kept = keeping.take_from_bin(desk_of(request), caller, scenario)
        return scenario_answer(request, kept)

    return await acting(request, work)


@router.post(
    "/v1/scenarios/{scenario}/copies",
    status_code=201,
    operation_id="copy_scenario",
    summary="Copy a scenario to ask: what if",
    openapi_extra={"x-body": "CopyRequest", "x-answer": "KeptScenario"},
)
async def copy_scenario(request: Request, scenario: ScenarioId) -> Response:
    """Store a copy of a scenario, of its newest revision or an older one, as a new scenario.

    `set` changes single inputs of the copy by their paths. It has no external id but one given
    here. Notes, links and recorded winters stay with the scenario.
    """
    sent = await json_body(request, optional=True)

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        with faults_told(member_pointer):
            asked = read_as(CopyRequest, sent)
        pointer = pointer_to_settings(asked.set)

        def act(then: Then[Kept]) -> Kept:
            with faults_told(pointer):
                refuse_unsound(asked.set)
                return keeping.copy(
                    desk,
                    caller,
                    scenario,
                    asked.revision,
                    asked.set,
                    asked.name,
                    asked.external_id,
                    then,
                )

        return posted_once(request, desk, caller, sent, act, posted_answer)

    return await acting(request, work)


@router.post(
    "/v1/scenarios/{scenario}/erasure",
    operation_id="erase_scenario",
    summary="Erase a scenario for good",
    openapi_extra={"x-body": "ErasureRequest", "x-answer": "Erasure"},
)
async def erase_scenario(request: Request, scenario: ScenarioId) -> Response:
    """Erase a scenario with its revisions, costings, notes, winters and links, in the bin or not.

    Copies of it are listed, or erased with it if `copies` is true. Nothing brings it back; the
    answer says on which day the last backup forgets it.
    """
    sent = await json_body(request, optional=True)

    def work(caller: Caller) -> Response:
        with faults_told(member_pointer):
            asked = read_as(ErasureRequest, sent)
        erased = erase(desk_of(request), caller, scenario, copies=asked.copies)
        ASKED.forget()  # pictures of the farm are not to outlive it in memory
        return json_answer(erasure_body(erased))

    return await acting(request, work)


def _by_id(head: Head) -> Position:
    return (head.id,)


def _by_change(head: Head) -> Position:
    return head.id, round(head.updated_at.timestamp() * 1000)


def _time_of(milliseconds: Any) -> datetime:  # noqa: ANN401 - from a signed cursor
    return EARLIEST + timedelta(milliseconds=milliseconds)
