"""The annexes of a costing: two pages for the engineer, two for the lender; also JSON and CSV."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.engine import cost
from service.scenarios.chosen import system_named, with_winters
from service.scenarios.costings import body_of, costing_now
from service.scenarios.desk import Caller, Desk
from service.web import tables
from service.web.annexes.annex import COLUMNS, Annex, document_of, rows_of
from service.web.annexes.pages import NoPdfError, content_policy, html_of, pdf_of
from service.web.annexes.readers import annex_of, default_system
from service.web.annexes.subject import AnnexSubject
from service.web.answers import faults_told, is_head, json_answer, parameters_told
from service.web.attending import TokenParameter, acting, desk_of
from service.web.identifiers import MOST_REVISIONS, ScenarioId
from service.web.pages.templating import PAGE_HEADERS
from service.web.problem_kinds import PDF_NOT_INSTALLED
from service.web.problems import ProblemError
from service.web.stored_revision import revision_of

HTML_TYPE, PDF_TYPE = "text/html; charset=utf-8", "application/pdf"

router = APIRouter(tags=["Scenarios"])

Reader = Literal["engineer", "lender"]


class AnnexParameters(TokenParameter):
    """Which annex, and what it is about."""

    reader: Reader = Field(
        "engineer",
        title="Reader",
        description="engineer: basis of design; lender: for lender and economist.",
    )
    system: str | None = Field(
        None,
        max_length=100,
        title="System",
        description="A key, best or baseline; if not given the best that builds something.",
    )
    revision: int | None = Field(
        None, ge=1, le=MOST_REVISIONS, title="Revision", description="The newest, if not given."
    )


class AnnexTableParameters(AnnexParameters):
    """Which annex, and how its table is written."""

    dialect: tables.Dialect | None = Field(
        None,
        title="Dialect of CSV",
        description="excel adds a byte order mark; excel-eu has semicolons and decimal commas too; "
        "tsv has tabs.",
    )


@router.get(
    "/v1/scenarios/{scenario}/annex.html",
    operation_id="get_annex_page",
    summary="An annex as a page to print",
    response_class=Response,
    responses={200: {"content": {"text/html": {"schema": {"type": "string"}}}}},
)
async def get_annex_page(
    request: Request, scenario: ScenarioId, parameters: Annotated[AnnexParameters, Query()]
) -> Response:
    """Return the annex as a page that prints on two sheets at most; it loads and runs nothing."""

    def answered(annex: Annex) -> Response:
        headers = {**PAGE_HEADERS, "Content-Security-Policy": content_policy()}
        return Response(html_of(annex), media_type=HTML_TYPE, headers=headers)

    return await acting(
        request, lambda caller: answered(_annex(request, caller, scenario, parameters))
    )


@router.get(
    "/v1/scenarios/{scenario}/annex.json",
    operation_id="get_annex",
    summary="An annex as JSON",
    response_class=Response,
    responses={200: {"content": {"application/json": {"schema": {"type": "object"}}}}},
)
async def get_annex(
    request: Request, scenario: ScenarioId, parameters: Annotated[AnnexParameters, Query()]
) -> Response:
    """Return the annex line by line, each with value, unit, origin, range, source and mark."""
    return await acting(
        request,
        lambda caller: json_answer(document_of(_annex(request, caller, scenario, parameters))),
    )


@router.get(
    "/v1/scenarios/{scenario}/annex.csv",
    operation_id="get_annex_table",
    summary="An annex as CSV",
    response_class=Response,
    responses={
        200: {
            "content": {
                kind: {"schema": {"type": "string"}}
                for kind in ("text/csv", "text/tab-separated-values")
            }
        }
    },
)
async def get_annex_table(
    request: Request, scenario: ScenarioId, parameters: Annotated[AnnexTableParameters, Query()]
) -> Response:
    """Return the same lines as a table, one row a line."""

    def answered(annex: Annex) -> Response:
        suffix = "tsv" if parameters.dialect == "tsv" else "csv"
        name = f"annex-{parameters.reader}.{suffix}"
        return Response(
            tables.table(COLUMNS, rows_of(annex), parameters.dialect),
            media_type=tables.media_type(parameters.dialect),
            headers={
                "Cache-Control": "no-store",
                "Content-Disposition": f'attachment; filename="{name}"',
            },
        )

    return await acting(
        request, lambda caller: answered(_annex(request, caller, scenario, parameters))
    )


@router.get(
    "/v1/scenarios/{scenario}/annex.pdf",
    operation_id="get_annex_pdf",
    summary="An annex as PDF",
    response_class=Response,
    responses={200: {"content": {PDF_TYPE: {"schema": {"type": "string", "format": "binary"}}}}},
)
async def get_annex_pdf(
    request: Request, scenario: ScenarioId, parameters: Annotated[AnnexParameters, Query()]
) -> Response:
    """Return the page as PDF, where the service has the library for it."""

    def answered(annex: Annex) -> Response:
        try:
            content = pdf_of(annex)
        except NoPdfError:
            raise ProblemError(PDF_NOT_INSTALLED, PDF_NOT_INSTALLED.explanation) from None
        name = f"annex-{parameters.reader}.pdf"
        headers = {
            "Cache-Control": "no-store",
            "Content-Disposition": f'inline; filename="{name}"',
        }
        return Response(content, media_type=PDF_TYPE, headers=headers)

    return await acting(
        request, lambda caller: answered(_annex(request, caller, scenario, parameters))
    )


def _annex(
    request: Request, caller: Caller, scenario_id: str, parameters: AnnexParameters
) -> Annex:
    """Return the annex of a stored scenario.

    Raises
    ------
    ProblemError
        If it cannot be costed, or has no such system; names the nearest.
    """
    desk = desk_of(request)
    with faults_told():
        subject = _subject(desk, caller, scenario_id, parameters, keep=not is_head(request))
        return annex_of(parameters.reader, subject)


def _subject(
    desk: Desk, caller: Caller, scenario_id: str, parameters: AnnexParameters, *, keep: bool
) -> AnnexSubject:
    kept = revision_of(desk, caller, scenario_id, parameters.revision)
    stored = costing_now(desk, caller, scenario_id, kept.revision.number, keep=keep)
    body = body_of(stored)
    document = with_winters(desk, kept)
    with parameters_told():
        wanted = parameters.system
        key = default_system(body) if wanted is None else system_named(body, wanted)
    return AnnexSubject(
        body=body,
        costing=cost(desk.read(document)),
        document=document,
        key=key,
        read=desk.read,
        scenario_id=kept.head.id,
        revision=kept.revision.number,
    )
