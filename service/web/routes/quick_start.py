"""The quick start: ten questions as data, a scenario from their answers, and the form."""

from collections.abc import Mapping, Sequence
from functools import cache, partial
from typing import Any

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import Fault, InputError
from service.costing.input_paths import pointer_of
from service.quick_start import QuickStart, filled, questions, three_guesses
from service.scenarios.desk import Caller
from service.web.answers import faults_told, json_answer
from service.web.attending import acting
from service.web.bodies import Sent, refuse_other_types
from service.web.engine_turns import in_turn
from service.web.negotiation import CATALOG_CACHING, JSON
from service.web.pages_start.answering import answered, form
from service.web.quick_start_models import QuickStartRequest
from service.web.reading import scenario_of
from service.web.request_models import read_as
from service.web.scenario_body import refuse_unsound

router = APIRouter(tags=["Costing"])


@router.get("/v1/quick-start.json", include_in_schema=False)
@router.get(
    "/v1/quick-start",
    operation_id="list_quick_start_questions",
    summary="The ten questions of the quick start",
    openapi_extra={"x-answer": "QuickStartQuestions"},
)
async def list_quick_start_questions() -> Response:
    """List the questions that a farm answers to begin with: words, units, usual ranges, choices."""
    return Response(_questions(), media_type=JSON, headers={"Cache-Control": CATALOG_CACHING})


@router.post(
    "/v1/quick-start",
    operation_id="answer_quick_start",
    summary="A scenario from ten answers",
    openapi_extra={"x-body": "QuickStartRequest", "x-answer": "QuickStart"},
)
async def answer_quick_start(request: Request) -> Response:
    """Fill a complete scenario from the answers to the ten questions; nothing is stored.

    Any question and any part may be left out, which means: not sure. Each value of the document is
    `given`, `worked` from answers, or `reference`: filled in for the farm, and then listed under
    `guessed` with its range and source. `check_first` are the guesses that could change the answer.
    """
    sent = Sent(await request.body())

    def work(_: Caller | None = None) -> Response:
        refuse_other_types(request)
        return _filled(sent)

    if not request.app.state.open_costing:
        return await acting(request, work)
    return await in_turn(work)


@router.get("/start", include_in_schema=False)
async def get_start_form(request: Request) -> Response:
    """Show the ten questions as a form."""
    return form(request)


@router.post("/start", include_in_schema=False)
async def send_start_form(request: Request) -> Response:
    """Answer a filled form: with the farm's page, or with the form and what is to be put right."""
    body = await request.body()
    return await in_turn(lambda: answered(request, body))


@cache
def _questions() -> bytes:
    return orjson.dumps({"questions": questions()})


def _filled(sent: Sent) -> Response:
    with faults_told(partial(pointer_of, sent.value)):
        asked = read_as(QuickStartRequest, sent)
        quick_start = _sound(asked.answers, _unsound(sent))
        first = three_guesses(quick_start, scenario_of)
    return json_answer(
        {
            "document": quick_start.document,
            "origins": quick_start.origins,
            "how": quick_start.how,
            "guessed": quick_start.guessed,
            "check_first": first,
            "systems": quick_start.systems,
            "needs": quick_start.needs,
            "notes": quick_start.notes,
            "order": quick_start.order,
        }
    )


def _sound(answers: Mapping[str, Any], faults: Sequence[Fault]) -> QuickStart:
    """Return the farm of the answers, or tell their faults together with those found before."""
    named = {fault.input for fault in faults}
    try:
        found = filled(answers, scenario_of)
    except InputError as error:
        more = [fault for fault in error.faults if fault.input not in named]
        raise InputError([*faults, *more]) from None
    if faults:
        raise InputError(faults)
    return found


def _unsound(sent: Sent) -> Sequence[Fault]:
    """Return the faults of numbers that nobody can compute with and of names given twice."""
    if sent.sound:
        return ()
    try:
        refuse_unsound(sent.value)
    except InputError as error:
        return error.faults
    return ()
