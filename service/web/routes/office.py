"""An office's keys, what the caller's own may do, and who did what."""

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from pydantic import AfterValidator, Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import sharing
from service.scenarios.audit import audited
from service.scenarios.desk import Caller
from service.scenarios.records import AuditEntry, Credential
from service.scenarios.replays import Answer, Then
from service.scenarios.repositories import Session
from service.web import tables
from service.web.answer_models import AuditItem
from service.web.answers import faults_told, json_answer, json_bytes, timestamp
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import json_body, posted_once
from service.web.cursors import PageParameters, Paging
from service.web.identifiers import possible
from service.web.negotiation import TableParameters, wants_csv
from service.web.request_models import KeyRequest, member_pointer, read_as

NO_STORE = {"Cache-Control": "no-store"}
ADDRESS_FORMS = ("", ".csv", ".json")

KeyId = Annotated[
    str, Path(title="Key", description="Id of an office key."), AfterValidator(possible)
]

router = APIRouter(tags=["Office"])


class AuditParameters(PageParameters, TableParameters):
    """Which entries, and in which form."""

    object: str | None = Field(
        None, max_length=64, title="Object", description="Only what was done to what has this id."
    )


@router.get(
    "/v1/me",
    operation_id="get_me",
    summary="What the key or link may do",
    openapi_extra={"x-answer": "Me"},
)
async def get_me(request: Request, parameters: Annotated[TokenParameter, Query()]) -> Response:
    """Say whose key or link was shown, what it may do and when it ends."""
    del parameters

    def work(session: Session, caller: Caller) -> Response:
        office = session.offices.get(caller.office_id)
        return json_answer(
            {
                "office": office.name if office else "",
                "kind": caller.kind,
                "access": caller.access,
                "label": caller.label,
                "expires_at": timestamp(caller.expires_at),
                "scenario": caller.scenario_id,
            }
        )

    return await reading(request, work)


@router.post(
    "/v1/keys",
    status_code=201,
    operation_id="create_key",
    summary="Make an office key",
    openapi_extra={"x-body": "KeyRequest", "x-answer": "NewKey"},
)
async def create_key(request: Request) -> Response:
    """Make a key of the caller's office; needs admin access.

    Its token is shown in this answer and never again, not even to the same Idempotency-Key.
    """
    sent = await json_body(request)

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        with faults_told(member_pointer):
            asked = read_as(KeyRequest, sent)

        def act(then: Then[tuple[Credential, str]]) -> tuple[Credential, str]:
            with faults_told(member_pointer):
                return sharing.make_key(
                    desk, caller, asked.access, asked.label, asked.expires_in_days, then
                )

        return posted_once(request, desk, caller, sent, act, _made_key)

    return await acting(request, work)


@router.get(
    "/v1/keys",
    operation_id="list_keys",
    summary="The office's keys",
    openapi_extra={"x-answer": "KeyList"},
)
async def list_keys(request: Request, parameters: Annotated[PageParameters, Query()]) -> Response:
    """List the keys of the caller's office, the oldest first, revoked ones too; needs admin access.

    A key that is `seen_in_url_at` stood in an address, where others may have read it: make a new
    one and revoke it.
    """

    def work(session: Session, caller: Caller) -> Response:
        paging = Paging(request, desk_of(request), caller, "keys", parameters)
        rows = sharing.keys(session, caller, last_id(paging), paging.wanted)
        return paging.answer(rows, key_item, lambda row: (row.id,))

    return await reading(request, work)


@router.delete(
    "/v1/keys/{key}",
    status_code=204,
    operation_id="revoke_key",
    summary="Revoke an office key",
)
async def revoke_key(request: Request, key: KeyId) -> Response:
    """Revoke a key of the caller's office at once and for good; needs admin access.

    The last admin key stays: whoever runs the host can revoke it.
    """

    def work(caller: Caller) -> Response:
        sharing.revoke_key(desk_of(request), caller, key)
        return Response(status_code=204, headers=NO_STORE)

    return await acting(request, work)


async def list_audit(request: Request, parameters: Annotated[AuditParameters, Query()]) -> Response:
    """List who did what in the caller's office, by ids, the newest first; needs admin access."""

    def work(session: Session, caller: Caller) -> Response:
        narrowed = {"object": parameters.object}
        paging = Paging(request, desk_of(request), caller, "audit", parameters, narrowed)
        before = int(paging.position[0]) if paging.position else None
        rows = audited(session, caller, parameters.object, before, paging.wanted)
        listed = paging.answer(rows, _audit_item, lambda row: (row.number,))
        listed.headers["Vary"] = "Accept"
        if not wants_csv(request, parameters):
            return listed
        table = tables.table(
            tuple(AuditItem.model_fields),
            map(_audit_item, rows[: parameters.limit]),
            parameters.dialect,
        )
        return private_table("audit", table, parameters, listed.headers.get("Link"))

    return await reading(request, work)


for suffix in ADDRESS_FORMS:
    router.add_api_route(
        f"/v1/audit{suffix}",
        list_audit,
        methods=["GET"],
        operation_id=f"list_audit_as_{suffix[1:]}" if suffix else "list_audit",
        summary="Who did what",
        openapi_extra={"x-answer": "AuditList", "x-table": True},
        include_in_schema=not suffix,
    )


def private_table(
    name: str, content: bytes, parameters: TableParameters, link: str | None = None
) -> Response:
    """Return a table that no cache keeps."""
    suffix = "tsv" if parameters.dialect == "tsv" else "csv"
    headers = {
        **NO_STORE,
        "Vary": "Accept",
        "Content-Disposition": f'attachment; filename="{name}.{suffix}"',
    }
    return Response(
        content,
        media_type=tables.media_type(parameters.dialect),
        headers=headers | ({"Link": link} if link else {}),
    )


def last_id(paging: Paging) -> str | None:
    """Return the id after which a page begins."""
    return str(paging.position[0]) if paging.position else None


def key_item(credential: Credential) -> dict[str, Any]:
    """Return what may be shown of a key or link."""
    return {
        "id": credential.id,
        "access": credential.access,
        "label": credential.label,
        "hint": credential.hint,
        "created_at": timestamp(credential.created_at),
        "created_by": credential.created_by,
        "expires_at": timestamp(credential.expires_at),
        "revoked_at": timestamp(credential.revoked_at) if credential.revoked_at else None,
        "last_used_on": credential.last_used_on,
        "seen_in_url_at": (
            timestamp(credential.seen_in_url_at) if credential.seen_in_url_at else None
        ),
    }


def shown_once(credential: Credential, body: Mapping[str, Any]) -> Answer:
    """Return the answer that holds a token."""
    return Answer(201, json_bytes(body), NO_STORE, credential.id, secret=True)


def _made_key(made: tuple[Credential, str]) -> Answer:
    credential, token = made
    return shown_once(credential, {**key_item(credential), "token": token})


def _audit_item(entry: AuditEntry) -> dict[str, Any]:
    return {
        "at": timestamp(entry.at),
        "credential": entry.credential_id,
        "action": entry.action,
        "object": entry.object_id,
        "revision": entry.revision,
        "request_id": entry.request_id,
    }
