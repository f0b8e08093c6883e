"""Share links of a scenario: made, listed, revoked."""

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from pydantic import AfterValidator
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import sharing
from service.scenarios.desk import Caller
from service.scenarios.records import Credential
from service.scenarios.replays import Answer, Then
from service.scenarios.repositories import Session
from service.web.answers import faults_told
from service.web.attending import acting, desk_of, reading
from service.web.bodies import json_body, posted_once
from service.web.cursors import PageParameters, Paging
from service.web.identifiers import ScenarioId, possible
from service.web.request_models import LinkRequest, member_pointer, read_as
from service.web.routes.office import NO_STORE, key_item, last_id, shown_once

LinkId = Annotated[
    str, Path(title="Link", description="Id of a share link."), AfterValidator(possible)
]

PAGES: Mapping[str, str] = {"read": "/s/", "edit": "/winter#"}
"""What stands before the token in the address of a link's page. What is behind a # is never sent:
the token of an edit link must not stand in an address that is."""

router = APIRouter(tags=["Sharing"])


@router.post(
    "/v1/scenarios/{scenario}/links",
    status_code=201,
    operation_id="create_link",
    summary="Share a scenario",
    openapi_extra={"x-body": "LinkRequest", "x-answer": "NewLink"},
)
async def create_link(request: Request, scenario: ScenarioId) -> Response:
    """Make a link that opens this scenario alone, without a key; needs a key with write access.

    A read link's `url` opens a page for the farm, an edit link's the form in which it tells how a
    winter was. The token is shown in this answer and never again, not even to the same
    Idempotency-Key.
    """
    sent = await json_body(request)

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        with faults_told(member_pointer):
            asked = read_as(LinkRequest, sent)

        def act(then: Then[tuple[Credential, str]]) -> tuple[Credential, str]:
            with faults_told(member_pointer):
                return sharing.make_link(
                    desk,
                    caller,
                    scenario,
                    asked.access,
                    asked.label,
                    asked.expires_in_days,
                    then,
                )

        def answer_of(made: tuple[Credential, str]) -> Answer:
            credential, token = made
            body = {**_link_item(credential), "token": token}
            body["url"] = f"{_public_url(request)}{PAGES[credential.access]}{token}"
            return shown_once(credential, body)

        return posted_once(request, desk, caller, sent, act, answer_of)

    return await acting(request, work)


@router.get(
    "/v1/scenarios/{scenario}/links",
    operation_id="list_links",
    summary="The links of a scenario",
    openapi_extra={"x-answer": "LinkList"},
)
async def list_links(
    request: Request, scenario: ScenarioId, parameters: Annotated[PageParameters, Query()]
) -> Response:
    """List the links, the oldest first, revoked ones too; needs a key with write access."""

    def work(session: Session, caller: Caller) -> Response:
        paging = Paging(request, desk_of(request), caller, f"links of {scenario}", parameters)
        rows = sharing.links(session, caller, scenario, last_id(paging), paging.wanted)
        return paging.answer(rows, _link_item, lambda row: (row.id,))

    return await reading(request, work)


@router.delete(
    "/v1/scenarios/{scenario}/links/{link}",
    status_code=204,
    operation_id="revoke_link",
    summary="Revoke a link",
)
async def revoke_link(request: Request, scenario: ScenarioId, link: LinkId) -> Response:
    """Revoke a link at once and for good; needs a key with write access."""

    def work(caller: Caller) -> Response:
        sharing.revoke_link(desk_of(request), caller, scenario, link)
        return Response(status_code=204, headers=NO_STORE)

    return await acting(request, work)


def _link_item(credential: Credential) -> dict[str, Any]:
    return {**key_item(credential), "scenario": credential.scenario_id}


def _public_url(request: Request) -> str:
    return (request.app.state.public_url or str(request.base_url)).rstrip("/")
