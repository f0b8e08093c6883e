"""The form, empty or filled, and what it is answered with."""

from collections.abc import Sequence
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from service.costing.engine import cost
from service.costing.errors import Fault, InputError
from service.costing.result import costing_document
from service.quick_start import QuickStart, answers_from_text, filled, three_guesses
from service.scenarios.desk import Desk
from service.scenarios.errors import UnknownTokenError
from service.scenarios.plain_text import text_fault
from service.web.attending import CHALLENGE
from service.web.bodies import refuse_other_types
from service.web.pages.answered_page import page_of
from service.web.pages_start.farm_keeping import KeptFarm, Visitor, kept_farm, visitor_of
from service.web.pages_start.form_fields import LONGEST_ANSWER, form_questions
from service.web.pages_start.guesses_told import (
    for_page,
    how_many,
    these_could,
    told_guesses,
)
from service.web.pages_start.sent_sheet import (
    FARM,
    KEY,
    Sheet,
    UnreadableFormError,
    empty_sheet,
    placed,
    sent_sheet,
)
from service.web.pages_start.templating import around, page
from service.web.problem_kinds import BODY_TOO_LARGE, INVALID_INPUT, UNKNOWN_TOKEN
from service.web.problems import ProblemError
from service.web.reading import scenario_of

FORM = "application/x-www-form-urlencoded"
LONGEST_NAME = 200
MOST_TOLD = 50
KEY_NEEDED = "Give a key or a link: here no farm is costed without one."
NOTHING_KEPT = "No farms are kept here: leave the key open."

# There are no cookies here, and a browser never adds a key by itself: a form on a stranger's page
# can send only what the stranger knows already. So nothing has to tell our form from another.


def form(
    request: Request,
    sheet: Sheet | None = None,
    faults: Sequence[Fault] = (),
    status: int = 200,
) -> Response:
    """Return the form with all that was typed, and what is to be put right beside its field.

    The key is the one thing that is not shown again.
    """
    by_name, others = placed(faults)
    state = request.app.state
    response = page(
        "start.html",
        status,
        questions=form_questions(),
        sheet=sheet or empty_sheet(),
        faults=by_name,
        others=others[:MOST_TOLD],
        count=len(faults),
        longest=LONGEST_ANSWER,
        keeps=state.desk is not None,
        is_open=state.open_costing,
    )
    if status == UNKNOWN_TOKEN.status:
        response.headers.update(CHALLENGE)
    return response


def answered(request: Request, body: bytes) -> Response:
    """Answer a form that was sent.

    Raises
    ------
    ProblemError
        If it is no form, or too large for one.
    """
    refuse_other_types(request, (FORM,))
    try:
        sheet = sent_sheet(body)
    except UnreadableFormError as error:
        raise ProblemError(BODY_TOO_LARGE, str(error)) from None
    if sheet.again:
        return form(request, sheet)
    desk: Desk | None = request.app.state.desk
    try:
        visitor = _visitor(request, desk, sheet)
        quick_start = _filled(sheet)
    except InputError as error:
        is_key = [fault.input for fault in error.faults] == [KEY]
        status = UNKNOWN_TOKEN.status if is_key else INVALID_INPUT.status
        return form(request, sheet, error.faults, status)
    document = quick_start.document | ({"name": sheet.farm} if sheet.farm else {})
    kept = None
    if desk is not None and visitor is not None:
        kept = kept_farm(request, desk, visitor, sheet, document)
    return _farm_page(request, sheet, quick_start, document, kept)


def _visitor(request: Request, desk: Desk | None, sheet: Sheet) -> Visitor | None:
    """Return who shows a key or a link; None where nobody does and none is needed.

    Raises
    ------
    InputError
        If one is needed, or the one that was given opens nothing.
    """
    if not sheet.token:
        if request.app.state.open_costing:
            return None
        raise InputError([Fault(KEY, KEY_NEEDED)])
    if desk is None:
        raise InputError([Fault("", NOTHING_KEPT)])
    try:
        return visitor_of(request, desk, sheet.token)
    except UnknownTokenError as error:
        raise InputError([Fault(KEY, f"This key or link opens nothing. {error}")]) from None


def _filled(sheet: Sheet) -> QuickStart:
    """Return the farm of a sheet.

    Raises
    ------
    InputError
        If anything on it cannot be; carries every fault found.
    """
    faults = sheet.faults()
    if sheet.farm:
        fault = text_fault(FARM, "The farm's name", sheet.farm, LONGEST_NAME)
        faults += [fault] if fault else []
    try:
        found = filled(answers_from_text(sheet.every_text()), scenario_of)
    except InputError as error:
        raise InputError([*error.faults, *faults]) from None
    if faults:
        raise InputError(faults)
    return found


def _farm_page(
    request: Request,
    sheet: Sheet,
    quick_start: QuickStart,
    document: dict[str, Any],
    kept: KeptFarm | None,
) -> Response:
    body = costing_document(cost(scenario_of(document)), given=document)
    first = three_guesses(quick_start, scenario_of)
    told = told_guesses(first, document)
    return around(
        page_of(body | {"check_first": for_page(first)}, document),
        sheet=sheet,
        kept=kept,
        keeps=request.app.state.desk is not None,
        guessed=quick_start.guessed,
        by_question=[
            (question, [row for row in quick_start.guessed if row["question"] == question.id])
            for question in form_questions()
        ],
        how_many=how_many(quick_start.guessed) if quick_start.guessed else "",
        these_could=these_could(told),
        told=told,
        systems=[
            (document["systems"][system["key"]]["title"], system["why"])
            for system in quick_start.systems
        ],
        needs=quick_start.needs,
        notes=[note["note"] for note in quick_start.notes],
    )
