"""Reviews of recorded winters, and the farm's own figures that come of them."""

from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.desk import Caller
from service.scenarios.reviews import Reviewed, own_figures_of, review_of
from service.season.own_figures.document import own_figures_document
from service.season.review.document import REVIEW_COLUMNS, review_document, review_rows
from service.web import tables
from service.web.answers import json_bytes
from service.web.attending import TokenParameter, acting, desk_of
from service.web.identifiers import ScenarioId
from service.web.negotiation import JSON
from service.web.pages_season.review_page import review_page
from service.web.season_forms import form_asked, in_forms, revalidated, season_told, table_answer

FORMS = ("json", "csv", "html")
Season = Annotated[
    str,
    Path(max_length=20, title="Season", description="A recorded winter, as 2026-27."),
]

router = APIRouter(tags=["After the decision"])


class ReviewParameters(TokenParameter):
    """In which form a review comes."""

    format: Literal["json", "csv", "html"] | None = Field(
        None, title="Form", description="json, csv or html; goes before the header Accept."
    )
    dialect: tables.Dialect | None = Field(
        None,
        title="Dialect of CSV",
        description="excel adds a byte order mark; excel-eu has semicolons and decimal commas too; "
        "tsv has tabs.",
    )


class OwnFiguresParameters(TokenParameter):
    """For which system the farm's own figures are offered."""

    system: str | None = Field(
        None,
        max_length=100,
        title="System",
        description="A key, best or baseline; that of the newest recorded winter, if not given.",
    )


@in_forms(
    router,
    "/v1/scenarios/{scenario}/winters/{season}/review",
    FORMS,
    "get_review",
    summary="A recorded winter held against its plan",
    response_class=Response,
    openapi_extra={"x-answer": "WinterReview", "x-table": True, "x-page": True},
)
async def get_review(
    request: Request,
    scenario: ScenarioId,
    season: Season,
    parameters: Annotated[ReviewParameters, Query()],
) -> Response:
    """Return planned against actual by line, split into weather, prices and how it was fed.

    The parts add up, and the order in which they are looked at does not matter. What could not be
    split for want of facts stands by itself.
    """
    form = form_asked(request, parameters.format, parameters.dialect, FORMS)

    def work(caller: Caller) -> Response:
        with season_told():
            found = review_of(desk_of(request), caller, scenario, season)
        return _answer(request, scenario, found, form, parameters.dialect)

    return await acting(request, work)


@in_forms(
    router,
    "/v1/scenarios/{scenario}/own-figures",
    ("json",),
    "get_own_figures",
    summary="This farm's own waste, minutes and damage",
    response_class=Response,
    openapi_extra={"x-answer": "OwnFigures"},
)
async def get_own_figures(
    request: Request, scenario: ScenarioId, parameters: Annotated[OwnFiguresParameters, Query()]
) -> Response:
    """Return what recorded winters say of the farm itself, drawn toward the reference values.

    Nothing is changed: `patch` is a merge patch of the scenario, for whoever accepts it to send.
    """

    def work(caller: Caller) -> Response:
        with season_told():
            found = own_figures_of(desk_of(request), caller, scenario, parameters.system)
        body = {"scenario": scenario, **own_figures_document(found)}
        return revalidated(request, json_bytes(body), JSON)

    return await acting(request, work)


def _answer(
    request: Request, scenario: str, found: Reviewed, form: str, dialect: str | None
) -> Response:
    past = found.past
    if form == "html":
        return review_page(
            found.review, name=found.farm, revision=past.planned_revision, facts=found.facts
        )
    if form == "csv":
        name = f"review-{scenario}-{past.season}"
        return table_answer(request, name, REVIEW_COLUMNS, review_rows(found.review), dialect)
    about = {"scenario": scenario, "version": past.version, "revision": past.planned_revision}
    return revalidated(request, json_bytes({**about, **review_document(found.review)}), JSON)
