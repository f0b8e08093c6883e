"""The page that a farmer opens: a scenario's costing of now, read by a link, or by a key."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import orjson
from anyio.to_thread import run_sync
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import InputError
from service.scenarios.chosen import chosen
from service.scenarios.costings import body_of, costing_now
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.errors import MistypedTokenError, UnknownScenarioError, UnknownTokenError
from service.scenarios.notes import notes
from service.scenarios.records import CostingSummary, Credential, Note
from service.scenarios.sharing import noted_use, seen_in_url
from service.scenarios.tokens import kind_of
from service.web.answers import faults_told, is_head, json_answer, refused
from service.web.attending import acting, desk_of, request_id_of
from service.web.costing_parameters import OF_REVISION
from service.web.identifiers import ScenarioId
from service.web.limiting.recognition import identified
from service.web.negotiation import HTML, JSON, preferred
from service.web.pages.answered_page import page_of
from service.web.pages.farm_page import Circumstances, day
from service.web.pages.templating import page
from service.web.pages.what_if import changed_in_words, what_if_of
from service.web.pages_season.shown import View, shown
from service.web.problem_kinds import INVALID_INPUT, NO_DATABASE, UNKNOWN_LINK, Kind
from service.web.problems import MEDIA_TYPE, ProblemError, problem_of
from service.web.query_settings import CostingQuery, costing_query
from service.web.stored_revision import revision_of
from service.web.what_if import what_if as costed_with
from service.web.workings_part import BEST, SYSTEM, workings_part

MISTYPED = "This link is mistyped or cut off: ask for it again, or copy the whole of it."
GONE = "This link has expired or was revoked, or never was: ask whoever sent it for a new one."
NOT_A_READ_LINK = (
    "Only a read link opens a page; this was a key or an edit link. Whatever stood in the address "
    "may be known to others now: revoke it and make a new one."
)
SHOW = "show"
WORKINGS = "workings"
HOW_MADE = f"?{SHOW}={WORKINGS}"
"""Relative to the link, so that no token stands in the page."""
VIEWS: Mapping[str, View] = {"plan": "plan", "card": "card", "calendar": "calendar"}
SEASONS = tuple(
    (f"?{SHOW}={view}&{SYSTEM}=", words)
    for view, words in (
        ("plan", "All dates, hay to buy and materials"),
        ("card", "Morning card"),
        ("calendar", "Calendar file"),
    )
)
"""What a link shows beside its page, of the system that is added."""

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


@router.get(
    "/v1/scenarios/{scenario}/page.html",
    operation_id="get_scenario_page",
    summary="The farm's page of a scenario",
    response_class=Response,
    responses={200: {"content": {HTML: {"schema": {"type": "string"}}}}},
    openapi_extra={"x-page": True, "parameters": OF_REVISION},
)
async def get_scenario_page(request: Request, scenario: ScenarioId) -> Response:
    """Show what a read link of the scenario shows, to whoever may read it.

    `set.<path>=value` changes single inputs for this page alone; nothing is stored.
    """
    desk = desk_of(request)

    def work(caller: Caller) -> Response:
        query = costing_query(request)
        with faults_told():
            stored, body = _costed_now(request, desk, caller, scenario, query.revision)
            if query.settings:
                body = orjson.loads(costed_with(desk, caller, scenario, query)[1])
        more = _circumstances(desk, caller, stored)
        return page_of(body, more=replace(more, changed=changed_in_words(query.settings)))

    return await acting(request, work)


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
    scenario = caller.scenario_id or ""
    if request.query_params.get(SHOW) == WORKINGS:
        kept = revision_of(desk, caller, scenario)
        return json_answer(workings_part(desk, kept, request.query_params.get(SYSTEM) or BEST))
    view = VIEWS.get(request.query_params.get(SHOW, ""))
    if view is not None:
        return _season(request, desk, caller, view)
    stored, body = _costed_now(request, desk, caller, scenario, None)
    what_if = what_if_of(request, body)
    if what_if.settings:
        try:
            query = CostingQuery(settings=dict(what_if.settings))
            body = orjson.loads(costed_with(desk, caller, scenario, query)[1])
        except InputError as error:
            what_if = what_if.with_faults(error)
    more = _circumstances(desk, caller, stored)
    return page_of(body, more=replace(more, how_made=HOW_MADE, seasons=SEASONS, what_if=what_if))


def _season(request: Request, desk: Desk, caller: Caller, view: View) -> Response:
    """Show plan, card or calendar of a system, the best if none is named."""
    wanted = request.query_params.get(SYSTEM) or None
    keep = not is_head(request)
    scenario = caller.scenario_id or ""
    found = chosen(desk, caller, scenario, system=wanted, keep=keep)
    return shown(request, view, found, desk.now().date())


def _costed_now(
    request: Request, desk: Desk, caller: Caller, scenario: str, revision: int | None
) -> tuple[CostingSummary, Document]:
    stored = costing_now(desk, caller, scenario, revision, keep=not is_head(request))
    return stored, body_of(stored)


def _circumstances(desk: Desk, caller: Caller, stored: CostingSummary) -> Circumstances:
    ends = day(caller.expires_at) if caller.scenario_id else ""
    return Circumstances(
        revision=stored.revision,
        costed_on=day(stored.created_at),
        link_ends=ends,
        notes=_notes(desk, caller, stored.scenario_id),
    )


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
