"""Revisions of a scenario: listed, read, held against each other, brought back."""

from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import history
from service.scenarios.costings import changes
from service.scenarios.desk import Caller
from service.scenarios.keeping import Kept
from service.scenarios.records import RevisionSummary
from service.scenarios.replays import Answer, Then
from service.scenarios.repositories import Session
from service.web.answers import faults_told, json_answer
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import json_body, posted_once, refuse_content
from service.web.cursors import PageParameters, Paging, Position
from service.web.identifiers import MOST_REVISIONS, RevisionNumber, ScenarioId
from service.web.negotiation import SheetParameters, form_wanted
from service.web.preconditions import expected_revision
from service.web.scenario_answers import posted_answer, revision_body, revision_item
from service.web.sheet_answer import sheet_answer
from service.web.stored_revision import revision_of

router = APIRouter(tags=["Scenarios"])


class ChangesParameters(TokenParameter):
    """What a revision is held against."""

    since: int | None = Field(
        None,
        ge=1,
        le=MOST_REVISIONS,
        title="Since",
        description="Number of the revision that it is held against; the one before it, if not "
        "given.",
    )


@router.get(
    "/v1/scenarios/{scenario}/revisions",
    operation_id="list_revisions",
    summary="The revisions of a scenario",
    openapi_extra={"x-answer": "RevisionList"},
)
async def list_revisions(
    request: Request, scenario: ScenarioId, parameters: Annotated[PageParameters, Query()]
) -> Response:
    """List who changed a scenario, when and how, the newest revision first."""

    def work(session: Session, caller: Caller) -> Response:
        what = f"revisions of {scenario}"
        paging = Paging(request, desk_of(request), caller, what, parameters)
        before = int(paging.position[0]) if paging.position else None
        rows = history.revisions(session, caller, scenario, before, paging.wanted)
        return paging.answer(rows, revision_item, _by_number)

    return await reading(request, work)


class RevisionParameters(TokenParameter, SheetParameters):
    """In which form to return a revision."""


@router.get(
    "/v1/scenarios/{scenario}/revisions/{revision}",
    operation_id="get_revision",
    summary="A revision of a scenario",
    openapi_extra={"x-answer": "KeptRevision", "x-sheet": True},
)  # tried last, as it takes the others for numbers: what stands below is added before it
@router.get("/v1/scenarios/{scenario}/revisions/{revision}.xlsx", include_in_schema=False)
@router.get("/v1/scenarios/{scenario}/revisions/{revision}.csv", include_in_schema=False)
@router.get("/v1/scenarios/{scenario}/revisions/{revision}.json", include_in_schema=False)
async def get_revision(
    request: Request,
    scenario: ScenarioId,
    revision: RevisionNumber,
    parameters: Annotated[RevisionParameters, Query()],
) -> Response:
    """Return a revision with its document, as the newest schema has it; or as an answer sheet."""
    form = form_wanted(request, parameters.format, None)
    if form != "json":
        return await acting(
            request,
            lambda caller: sheet_answer(
                request, revision_of(desk_of(request), caller, scenario, revision), form
            ),
        )

    def work(session: Session, caller: Caller) -> Response:
        kept = history.revision(session, desk_of(request), caller, scenario, revision)
        return json_answer(revision_body(kept), headers={"Vary": "Accept"})

    return await reading(request, work)


@router.get(
    "/v1/scenarios/{scenario}/revisions/{revision}/changes",
    operation_id="get_changes",
    summary="What a revision changed",
    openapi_extra={"x-answer": "Changes"},
)
async def get_changes(
    request: Request,
    scenario: ScenarioId,
    revision: RevisionNumber,
    parameters: Annotated[ChangesParameters, Query()],
) -> Response:
    """Return the inputs that a revision changed, and in a sentence what that did to the answer."""

    def work(caller: Caller) -> Response:
        found = changes(desk_of(request), caller, scenario, revision, parameters.since)
        return json_answer(found)

    return await acting(request, work)


@router.post(
    "/v1/scenarios/{scenario}/revisions/{revision}/restore",
    operation_id="restore_revision",
    summary="Bring back an earlier revision",
    openapi_extra={"x-answer": "KeptScenario"},
)
async def restore_revision(
    request: Request, scenario: ScenarioId, revision: RevisionNumber
) -> Response:
    """Store the document of an earlier revision as the next one; needs `If-Match`.

    Nothing is lost: the revisions in between stay.
    """
    sent = await json_body(request, optional=True)

    def work(caller: Caller) -> Response:
        refuse_content(sent)
        desk = desk_of(request)
        expected = expected_revision(request, desk, caller, scenario, "change")

        def act(then: Then[Kept]) -> Kept:
            with faults_told():
                return history.restore(desk, caller, scenario, expected, revision, then)

        return posted_once(request, desk, caller, sent, act, _restored)

    return await acting(request, work)


def _restored(kept: Kept) -> Answer:
    return posted_answer(kept, status=200)


def _by_number(revision: RevisionSummary) -> Position:
    return (revision.number,)
