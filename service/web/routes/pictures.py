"""Pictures of a scenario's costing, as SVG."""

from typing import Annotated

from fastapi import APIRouter, Path, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import Fault, InputError, nearest
from service.scenarios.costings import costing_now
from service.scenarios.desk import Caller, Desk
from service.scenarios.records import StoredCosting
from service.web.answers import faults_told, is_head, not_modified, parameters_told
from service.web.attending import TokenParameter, acting, desk_of
from service.web.costing_tables import Document, body_in
from service.web.identifiers import MOST_REVISIONS, ScenarioId
from service.web.leaf_rules import shortened
from service.web.picture_questions import SWINGS, asked_of
from service.web.preconditions import has_already
from service.web.problem_kinds import UNKNOWN_PART
from service.web.problems import ProblemError
from service.web.scenario_answers import REVALIDATED
from service.web.stored_revision import revision_of

SVG = "image/svg+xml"
SYSTEM = "system"

router = APIRouter(tags=["Scenarios"])


class ChartParameters(TokenParameter):
    """Which system and revision to draw."""

    system: str | None = Field(
        None,
        max_length=100,
        title="System",
        description="A key, best or baseline; for bale_flow, cash_by_year and swings alone.",
    )
    revision: int | None = Field(
        None, ge=1, le=MOST_REVISIONS, title="Revision", description="The newest, if not given."
    )


@router.get(
    "/v1/scenarios/{scenario}/costing/charts/{name}.svg",
    operation_id="get_chart",
    summary="A picture of a costing",
    response_class=Response,
    responses={200: {"content": {SVG: {"schema": {"type": "string"}}}}},
)
async def get_chart(
    request: Request,
    scenario: ScenarioId,
    name: Annotated[str, Path(title="Picture", description="Name of a picture.")],
    parameters: Annotated[ChartParameters, Query()],
) -> Response:
    """Draw the costing of now; what a picture shows is told in words inside it too.

    cost_by_group, winters, bale_flow, cost_against_hay_price, acres_to_fix, cash_by_year, swings.
    """

    def work(caller: Caller) -> Response:
        desk = desk_of(request)
        with faults_told():
            keep = not is_head(request)
            costing = costing_now(desk, caller, scenario, parameters.revision, keep=keep)
        _refuse_unknown(name)
        body = body_in(costing)
        with parameters_told():
            system = _system_in(body, name, parameters.system)
        headers = {"Cache-Control": REVALIDATED}
        if costing.id:
            headers["ETag"] = f'"{costing.id}-{name}-{system or ""}"'
            if has_already(request, headers["ETag"]):
                return not_modified(headers)
        drawn = _drawn(desk, caller, costing, body, name, system)
        return Response(drawn, media_type=SVG, headers=headers)

    return await acting(request, work)


def _refuse_unknown(name: str) -> None:
    from service.reports.pictures import PICTURES  # noqa: PLC0415 - with the first picture

    if name in PICTURES:
        return
    known = ", ".join(PICTURES)
    near = nearest(shortened(name), tuple(PICTURES))
    hint = f"did you mean {near}?" if near else f"there are {known}."
    error = {
        "input": "name",
        "detail": f"There is no picture {shortened(name)!r}; {hint}",
        "received": shortened(name),
        "allowed": known,
    }
    raise ProblemError(UNKNOWN_PART, errors=[error | ({"suggestion": near} if near else {})])


def _system_in(body: Document, name: str, word: str | None) -> str | None:
    """Return the key of the system that is to be drawn, None where none is named.

    Raises
    ------
    InputError
        If the picture shows all systems, or the costing has none of that name.
    """
    from service.reports.pictures import PICTURES  # noqa: PLC0415 - with the first picture

    if word is None:
        return None
    if not PICTURES[name].takes_system and name != SWINGS:
        detail = f"{name} shows all systems; leave out system."
        raise InputError([Fault(SYSTEM, detail, received=word)])
    words = {"best": body["best_system"], "baseline": body["comparison"]["baseline"]}
    known = (*words, *(item[SYSTEM] for item in body["systems"]))
    if word not in known:
        near = nearest(word, known)
        hint = f"did you mean {near}?" if near else f"there are {', '.join(known)}."
        detail = f"There is no system {word!r}; {hint}"
        raise InputError([Fault(SYSTEM, detail, word, ", ".join(known), suggestion=near)])
    return words.get(word, word)


def _drawn(
    desk: Desk,
    caller: Caller,
    costing: StoredCosting,
    body: Document,
    name: str,
    system: str | None,
) -> str:
    from service.reports.pictures import picture  # noqa: PLC0415 - with the first picture

    kept = revision_of(desk, caller, costing.scenario_id, costing.revision)
    with faults_told():
        return picture(name, body, asked_of(desk, kept, body, name, system))
