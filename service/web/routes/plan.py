"""The plan of a system: dates, materials, hay and the morning card, for one winter."""

from collections.abc import Mapping
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.chosen import Chosen, chosen
from service.scenarios.desk import Caller
from service.season.plan.document import (
    PLAN_TABLES,
    plan_document,
    plan_rows,
)
from service.season.plan.planned import planned
from service.web.answers import is_head, json_bytes
from service.web.attending import acting, desk_of
from service.web.identifiers import ScenarioId
from service.web.negotiation import JSON
from service.web.pages_season.shown import View, shown
from service.web.season_forms import (
    SystemParameters,
    form_asked,
    in_forms,
    revalidated,
    season_told,
    table_answer,
)

FORMS = ("json", "csv", "ics", "html")
VIEWS: Mapping[str, View] = {"html": "plan", "ics": "calendar"}

router = APIRouter(tags=["After the decision"])


class SeasonParameters(SystemParameters):
    """Which system, for which winter."""

    season: str | None = Field(
        None,
        max_length=20,
        title="Season",
        description="The winter by its years, as 2026-27; the one that runs or comes next, if "
        "not given.",
    )


class PlanParameters(SeasonParameters):
    """Which plan, and in which form."""

    format: Literal["json", "csv", "ics", "html"] | None = Field(
        None, title="Form", description="json, csv, ics or html; goes before the header Accept."
    )
    table: Literal["tasks", "materials", "checkpoints"] = Field(
        "tasks", title="Table", description="Which rows CSV has."
    )


@in_forms(
    router,
    "/v1/scenarios/{scenario}/plan",
    FORMS,
    "get_plan",
    summary="The plan of a system",
    response_class=Response,
    openapi_extra={"x-answer": "Plan", "x-table": True, "x-calendar": True},
)
async def get_plan(
    request: Request, scenario: ScenarioId, parameters: Annotated[PlanParameters, Query()]
) -> Response:
    """Return dated tasks, materials and hay to buy, worked back from winter and on into spring.

    A phone subscribes to `plan.ics?token=` with the token of a read link; `plan.html` is a page to
    print, and `plan.csv` one table of it.
    """
    form = form_asked(request, parameters.format, parameters.dialect, FORMS)

    def work(caller: Caller) -> Response:
        found = _chosen(request, caller, scenario, parameters)
        return _answer(request, found, form, parameters)

    return await acting(request, work)


@router.get(
    "/v1/scenarios/{scenario}/card.html",
    operation_id="get_card",
    summary="The morning card of a system",
    response_class=Response,
    responses={200: {"content": {"text/html": {"schema": {"type": "string"}}}}},
    openapi_extra={"x-page": True},
)
async def get_card(
    request: Request, scenario: ScenarioId, parameters: Annotated[SeasonParameters, Query()]
) -> Response:
    """Show who is fed what and where on each state of the ground, and when to stop: one page."""

    def work(caller: Caller) -> Response:
        found = _chosen(request, caller, scenario, parameters)
        return shown(request, "card", found, desk_of(request).now().date())

    return await acting(request, work)


def _chosen(
    request: Request, caller: Caller, scenario: str, parameters: SeasonParameters
) -> Chosen:
    with season_told():
        return chosen(
            desk_of(request),
            caller,
            scenario,
            revision=parameters.revision,
            system=parameters.system,
            season=parameters.season,
            keep=not is_head(request),
        )


def _answer(request: Request, found: Chosen, form: str, parameters: PlanParameters) -> Response:
    revision = found.kept.revision
    name = f"plan-{found.kept.head.id}-{revision.number}"
    if form in VIEWS:
        return shown(request, VIEWS[form], found, desk_of(request).now().date())
    plan = planned(found.subject)
    if form == "csv":
        columns = PLAN_TABLES[parameters.table]
        rows = plan_rows(plan, parameters.table)
        return table_answer(
            request, f"{name}-{parameters.table}", columns, rows, parameters.dialect
        )
    about = {"scenario": found.kept.head.id, "revision": revision.number}
    return revalidated(request, json_bytes({**about, **plan_document(plan)}), JSON)
