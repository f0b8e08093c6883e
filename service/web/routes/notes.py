"""Notes: remarks about a revision of a scenario, or about one input of it."""

from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios import notes
from service.scenarios.desk import Caller
from service.scenarios.records import Note
from service.scenarios.replays import Answer, Then
from service.scenarios.repositories import Session
from service.web.answers import faults_told, json_bytes, timestamp
from service.web.attending import acting, desk_of, reading
from service.web.bodies import json_body, posted_once
from service.web.cursors import PageParameters, Paging
from service.web.identifiers import ScenarioId
from service.web.request_models import NoteRequest, member_pointer, read_as
from service.web.routes.office import NO_STORE, last_id

router = APIRouter(tags=["Sharing"])


@router.post(
    "/v1/scenarios/{scenario}/notes",
    status_code=201,
    operation_id="add_note",
    summary="Add a note",
    openapi_extra={"x-body": "NoteRequest", "x-answer": "ScenarioNote"},
)
async def add_note(request: Request, scenario: ScenarioId) -> Response:
    """Add a remark; needs a key with write access or an edit link.

    It stays with the revision that it speaks of, and with the input, if one is named.
    """
    sent = await json_body(request)

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        with faults_told(member_pointer):
            asked = read_as(NoteRequest, sent)

        def act(then: Then[Note]) -> Note:
            with faults_told(member_pointer):
                return notes.add_note(
                    desk, caller, scenario, asked.text, asked.revision, asked.input, then
                )

        return posted_once(request, desk, caller, sent, act, _made)

    return await acting(request, work)


@router.get(
    "/v1/scenarios/{scenario}/notes",
    operation_id="list_notes",
    summary="The notes of a scenario",
    openapi_extra={"x-answer": "NoteList"},
)
async def list_notes(
    request: Request, scenario: ScenarioId, parameters: Annotated[PageParameters, Query()]
) -> Response:
    """List the notes of all revisions, the oldest first."""

    def work(session: Session, caller: Caller) -> Response:
        paging = Paging(request, desk_of(request), caller, f"notes of {scenario}", parameters)
        rows = notes.notes(session, caller, scenario, last_id(paging), paging.wanted)
        return paging.answer(rows, note_item, lambda row: (row.id,))

    return await reading(request, work)


def note_item(note: Note) -> dict[str, Any]:
    """Return a note as it is answered."""
    return {
        "id": note.id,
        "revision": note.revision,
        "input": note.input_path,
        "text": note.body,
        "author": {"id": note.author_id, "label": note.author_label},
        "created_at": timestamp(note.created_at),
    }


def _made(note: Note) -> Answer:
    return Answer(201, json_bytes(note_item(note)), NO_STORE, note.id)
