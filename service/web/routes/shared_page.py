"""The page that a farmer opens: a scenario's costing of now, read by a link and nothing else."""

from collections.abc import Sequence

from anyio.to_thread import run_sync
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import InputError
from service.scenarios.access import identified
from service.scenarios.costings import body_of, costing_now
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import MistypedTokenError, UnknownScenarioError, UnknownTokenError
from service.scenarios.notes import notes
from service.scenarios.records import Credential, Note
from service.scenarios.sharing import noted_use, seen_in_url
from service.scenarios.tokens import kind_of
from service.web.answers import is_head, refused
from service.web.attending import request_id_of
from service.web.negotiation import HTML, JSON, preferred
from service.web.pages.farm_page import farm_page
from service.web.pages.templating import page
from service.web.problem_kinds import INVALID_INPUT, NO_DATABASE, UNKNOWN_LINK, Kind
from service.web.problems import MEDIA_TYPE, ProblemError, problem_of

MISTYPED = "This link is mistyped or cut off: ask for it again, or copy the whole of it."
GONE = "This link has expired or was revoked, or never was: ask whoever sent it for a new one."
NOT_A_READ_LINK = (
    "Only a read link opens a page; this was a key or an edit link. Whatever stood in the address "
    "may be known to others now: revoke it and make a new one."
)
NOTHING_KEPT = "No farms are kept here."
NOTES_AT_ONCE = 200
MOST_NOTES = 1000
MOST_FAULTS = 50

router = APIRouter(tags=["Sharing"])


@router.get(
    "/s/{token:path}",
    operation_id="get_farm_page",
    summary="The page of a read link",
    response_class=Response,
    responses={200: {"content": {HTML: {"schema": {"type": "string"}}}}},
    openapi_extra={"x-page": True},
)
async def get_farm_page(request: Request, token: str) -> Response:
    """Show a farm its costing of now as a page; the link itself is the token."""
    return await run_sync(_answered, request, token)


def _answered(request: Request, token: str) -> Response:
    desk = request.app.state.desk
    if desk is None:
        return _said(request, NO_DATABASE, NOTHING_KEPT)
    try:
        caller, credential = _opened(request, desk, token)
    except MistypedTokenError:
        return _said(request, UNKNOWN_LINK, MISTYPED)
    except UnknownTokenError:
        return _said(request, UNKNOWN_LINK, GONE)
    except ProblemError as error:
        return _said(request, error.kind, error.detail)
    try:
        response = _shown(request, desk, caller)
    except UnknownScenarioError:
        return _said(request, UNKNOWN_LINK, GONE)
    except InputError as error:
        response = _faults(request, error)
    noted_use(desk, credential, token)
    return response


def _opened(request: Request, desk: Desk, token: str) -> tuple[Caller, Credential]:
    """Return who opens the page.

    Raises
    ------
    MistypedTokenError
        If the token does not add up; the store is not asked.
    UnknownTokenError
        If it opens nothing.
    ProblemError
        If it is a key or an edit link, which must not stand in an address.
    """
    is_link_to_read = kind_of(token) == "read_link"
    with desk.store.reading() as session:
        try:
            found = identified(session, desk, token, request_id_of(request))
        except UnknownTokenError:
            if is_link_to_read:
                raise
            raise ProblemError(UNKNOWN_LINK, NOT_A_READ_LINK) from None
    if not is_link_to_read:
        seen_in_url(desk, found[1])
        raise ProblemError(UNKNOWN_LINK, NOT_A_READ_LINK)
    return found


def _shown(request: Request, desk: Desk, caller: Caller) -> Response:
    scenario_id = caller.scenario_id or ""
    stored = costing_now(desk, caller, scenario_id, keep=not is_head(request))
    content = farm_page(
        body_of(stored), stored, _notes(desk, caller, scenario_id), caller.expires_at
    )
    return page("farm.html", farm=content)


def _notes(desk: Desk, caller: Caller, scenario_id: str) -> Sequence[Note]:
    found: list[Note] = []
    with desk.store.reading() as session:
        while len(found) < MOST_NOTES:
            last = found[-1].id if found else None
            more = notes(session, caller, scenario_id, last, NOTES_AT_ONCE)
            found += more
            if len(more) < NOTES_AT_ONCE:
                break
    return found


def _faults(request: Request, error: InputError) -> Response:
    if _wants_json(request):
        return problem_of(refused(error))
    return page(
        "faults.html",
        INVALID_INPUT.status,
        faults=error.faults[:MOST_FAULTS],
        more=max(0, len(error.faults) - MOST_FAULTS),
    )


def _said(request: Request, kind: Kind, sentence: str) -> Response:
    """Say in a sentence why there is no page."""
    if _wants_json(request):
        return problem_of(ProblemError(kind, sentence, headers={"Cache-Control": "no-store"}))
    return page("said.html", kind.status, title=kind.title, sentence=sentence)


def _wants_json(request: Request) -> bool:
    offers = (HTML, JSON, MEDIA_TYPE)
    return preferred(request.headers.get("Accept", ""), offers) != HTML
