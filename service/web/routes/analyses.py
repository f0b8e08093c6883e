"""Questions: asked of a stored scenario and kept, or of what comes with them."""

import asyncio
from time import monotonic
from typing import Annotated, Any

from anyio.to_thread import run_sync
from fastapi import APIRouter, Path, Query
from pydantic import AfterValidator
from starlette.requests import Request
from starlette.responses import Response

from service.costing.json_shapes import is_object
from service.scenarios import analyses
from service.scenarios.analyses import Answered, Asked
from service.scenarios.desk import Caller
from service.scenarios.replays import Then
from service.scenarios.repositories import Session
from service.web.analysis_answers import (
    ACCEPTED,
    address_of_analysis,
    analysis_body,
    analysis_item,
    headers_of,
    posted_answer,
)
from service.web.answers import faults_told, json_answer
from service.web.attending import TokenParameter, acting, desk_of, reading
from service.web.bodies import Sent, json_body, posted_once, refuse_content, refuse_other_types
from service.web.cursors import PageParameters, Paging
from service.web.engine_turns import in_turn
from service.web.identifiers import ScenarioId, possible
from service.web.limiting.meter import parts_asked
from service.web.problem_kinds import UNKNOWN_SCENARIO
from service.web.problems import ProblemError
from service.web.question_models import question_in
from service.web.question_reading import asked_in, pointer_in
from service.web.routes.costings import needs_records
from service.web.routes.office import NO_STORE, last_id
from service.web.scenario_body import refuse_unsound
from service.web.settings_pointer import pointer_to_settings
from service.web.unsaved_questions import answered, read_unsaved
from service.web.waiting import USUAL_SECONDS, preferred_wait

SECONDS_BETWEEN_LOOKS = 0.2
APPLIED = "Preference-Applied"
REPLAYED = "Idempotency-Replayed"

AnalysisId = Annotated[
    str, Path(title="Analysis", description="Id of an analysis."), AfterValidator(possible)
]

router = APIRouter(tags=["Questions"])


@router.post(
    "/v1/scenarios/{scenario}/analyses",
    status_code=201,
    operation_id="ask_question",
    summary="Ask a question of a scenario",
    responses={
        200: {"description": "It was asked before, and this is the answer."},
        202: {"description": "It is being worked on; look again at Location."},
    },
    openapi_extra={"x-body": "QuestionRequest", "x-answer": "Analysis"},
)
async def ask_question(request: Request, scenario: ScenarioId) -> Response:
    """Ask a question of a revision and keep the answer; needs a key with write access.

    What is quick is answered at once. Else it is worked on meanwhile: the request waits as long as
    `Prefer: wait=` says, 5 seconds if it says nothing and 20 at most, and is then answered by 202
    and where to look. The same question again, on the same revision, is answered by what is there.
    """
    sent = await json_body(request)
    preferred = preferred_wait(request)
    is_new = True

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        pointer = pointer_in(sent.value, pointer_to_settings(_settings_of(sent)))
        with faults_told(pointer):
            found = asked_in(sent.value)
            refuse_unsound(found.set)
            asked = Asked(question_in(found), found.revision, found.set)

        def act(then: Then[Answered]) -> Answered:
            nonlocal is_new
            with faults_told(pointer):
                made = analyses.ask(desk, caller, scenario, asked, then)
            is_new = made[1]
            parts_asked(made[0].total if is_new else 0)
            return made

        return posted_once(request, desk, caller, sent, act, posted_answer)

    response = await acting(request, work)
    if response.status_code == ACCEPTED:
        request.app.state.workers.wake()
        seconds = USUAL_SECONDS if preferred is None else preferred
        response = await _waited(request, scenario, response, seconds, is_new=is_new)
    if preferred is not None:
        response.headers[APPLIED] = f"wait={preferred}"
    return response


async def _waited(
    request: Request, scenario: str, first: Response, seconds: float, *, is_new: bool
) -> Response:
    """Look again and again whether it is answered, and hold no thread in between."""
    analysis = first.headers["Location"].rpartition("/")[2]

    def look(session: Session, caller: Caller) -> Response:
        found = posted_answer((analyses.analysis(session, caller, scenario, analysis), is_new))
        replayed = {name: first.headers[name] for name in (REPLAYED,) if name in first.headers}
        headers = {**NO_STORE, **found.headers, **replayed}
        return Response(found.body, found.status, headers, first.media_type)

    until = monotonic() + seconds
    response = first
    stopping = request.app.state.stopping  # then others work on it, and there is no use in waiting
    while (
        response.status_code == ACCEPTED and not stopping.told and (left := until - monotonic()) > 0
    ):
        await asyncio.sleep(min(SECONDS_BETWEEN_LOOKS, left))
        response = await reading(request, look)
    return response


@router.get(
    "/v1/scenarios/{scenario}/analyses",
    operation_id="list_analyses",
    summary="The questions asked of a scenario",
    openapi_extra={"x-answer": "AnalysisList"},
)
async def list_analyses(
    request: Request, scenario: ScenarioId, parameters: Annotated[PageParameters, Query()]
) -> Response:
    """List the questions of all revisions, the newest first, without results."""

    def work(session: Session, caller: Caller) -> Response:
        paging = Paging(request, desk_of(request), caller, f"analyses of {scenario}", parameters)
        rows = analyses.analyses(session, caller, scenario, last_id(paging), paging.wanted)
        return paging.answer(rows, analysis_item, lambda row: (row.id,))

    return await reading(request, work)


@router.get(
    "/v1/scenarios/{scenario}/analyses/{analysis}",
    operation_id="get_analysis",
    summary="An answer, or how far it is",
    openapi_extra={"x-answer": "Analysis"},
)
async def get_analysis(
    request: Request,
    scenario: ScenarioId,
    analysis: AnalysisId,
    parameters: Annotated[TokenParameter, Query()],
) -> Response:
    """Read an analysis; while it is queued or running, Retry-After says when to look again."""
    del parameters

    def work(session: Session, caller: Caller) -> Response:
        job = analyses.analysis(session, caller, scenario, analysis)
        return json_answer(analysis_body(job), headers=headers_of(job))

    return await reading(request, work)


@router.post(
    "/v1/scenarios/{scenario}/analyses/{analysis}/cancel",
    status_code=202,
    operation_id="cancel_analysis",
    summary="Cancel the work on a question",
    openapi_extra={"x-answer": "Analysis"},
)
async def cancel_analysis(request: Request, scenario: ScenarioId, analysis: AnalysisId) -> Response:
    """Let the work on a question end after the part that is being worked on; asked twice is once.

    What waits is cancelled at once. What has ended is refused by 409.
    """
    sent = await json_body(request, optional=True)

    def work(caller: Caller) -> Response:
        refuse_content(sent)
        job = analyses.cancel(desk_of(request), caller, scenario, analysis)
        headers = {"Content-Location": address_of_analysis(job), **headers_of(job)}
        return json_answer(analysis_body(job), ACCEPTED, headers)

    return await acting(request, work)


@router.delete(
    "/v1/scenarios/{scenario}/analyses/{analysis}",
    status_code=204,
    operation_id="forget_analysis",
    summary="Forget an answer",
)
async def forget_analysis(request: Request, scenario: ScenarioId, analysis: AnalysisId) -> Response:
    """Forget an analysis; if it is being worked on, that comes to nothing."""

    def work(caller: Caller) -> Response:
        analyses.forget(desk_of(request), caller, scenario, analysis)
        return Response(status_code=204, headers=NO_STORE)

    return await acting(request, work)


@router.post(
    "/v1/analyses",
    operation_id="answer_question",
    summary="Ask a question of a document",
    openapi_extra={"x-body": "UnsavedQuestionRequest", "x-answer": "UnsavedAnalysis"},
)
async def answer_question(request: Request) -> Response:
    """Answer a question about a document, or about a stored scenario; nothing is stored.

    `set` changes single inputs by their paths before it is asked. As open as costing a document
    is; what takes more than about two seconds is refused, and can be asked of a stored scenario.
    """
    sent = Sent(await request.body())

    def answering(caller: Caller) -> Response:
        refuse_other_types(request)
        return json_answer(answered(read_unsaved(sent), desk_of(request), caller))

    if not request.app.state.open_costing:
        return await acting(request, answering)
    refuse_other_types(request)
    asked = await run_sync(read_unsaved, sent)
    if asked.about.scenario is not None and request.app.state.desk is None:
        raise ProblemError(UNKNOWN_SCENARIO)
    if asked.about.scenario is not None or needs_records(request, asked.about):
        return await acting(request, answering)
    return await in_turn(lambda: json_answer(answered(asked)))


def _settings_of(sent: Sent) -> dict[str, Any]:
    """Return the settings of a body, which may be of any form."""
    settings = sent.value.get("set") if is_object(sent.value) else None
    return settings if is_object(settings) else {}
