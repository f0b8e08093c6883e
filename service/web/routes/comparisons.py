"""Scenarios and revisions side by side."""

import re
from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import InputError
from service.scenarios.comparison import compared
from service.scenarios.desk import Caller
from service.web import tables
from service.web.answers import json_answer
from service.web.attending import TokenParameter, acting, desk_of
from service.web.identifiers import possible
from service.web.negotiation import XLSX, WorkbookParameters, attached, form_wanted
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError

WANTED = "scenarios"
UNKEPT = {"Cache-Control": "no-store", "Vary": "Accept"}
LONGEST = 1000
ENTRY = re.compile(r"([A-Za-z0-9_]{1,64})(?:@([1-9][0-9]{0,8}))?")

router = APIRouter(tags=["Scenarios"])


class ComparisonParameters(TokenParameter, WorkbookParameters):
    """What to compare, and in which form."""

    scenarios: str = Field(
        max_length=LONGEST,
        title="Scenarios",
        description="Ids joined by commas; id@revision for a revision that is not the newest.",
    )


@router.get("/v1/comparisons.xlsx", include_in_schema=False)
@router.get("/v1/comparisons.csv", include_in_schema=False)
@router.get("/v1/comparisons.json", include_in_schema=False)
@router.get(
    "/v1/comparisons",
    operation_id="compare_scenarios",
    summary="Compare scenarios",
    openapi_extra={"x-answer": "ScenarioComparison", "x-table": True, "x-workbook": True},
)
async def compare_scenarios(
    request: Request, parameters: Annotated[ComparisonParameters, Query()]
) -> Response:
    """Put the figures of scenarios and revisions side by side, and what differs in their inputs.

    As CSV and XLSX, a row for each scenario and system.
    """
    wanted = _wanted(parameters.scenarios)

    def work(caller: Caller) -> Response:
        try:
            body = compared(desk_of(request), caller, wanted)
        except InputError as error:
            raise _refused(error) from None
        return _answer(
            body, form_wanted(request, parameters.format, parameters.dialect), parameters
        )

    return await acting(request, work)


def _answer(body: Mapping[str, Any], form: str, parameters: ComparisonParameters) -> Response:
    if form == "json":
        return json_answer(body, headers={"Vary": "Accept"})
    headers = {**UNKEPT, **attached("comparison", form, parameters.dialect)}
    if form == "xlsx":
        from service.reports.results_workbook.comparison_workbook import (  # noqa: PLC0415 - takes time
            comparison_workbook,
        )

        return Response(comparison_workbook(body), media_type=XLSX, headers=headers)
    rows = list(_rows(body))
    columns = tuple(dict.fromkeys(name for row in rows for name in row))
    return Response(
        tables.table(columns, rows, parameters.dialect),
        media_type=tables.media_type(parameters.dialect),
        headers=headers,
    )


def _wanted(text: str) -> list[tuple[str, int | None]]:
    """Return ids and revisions.

    Raises
    ------
    ProblemError
        If an entry is neither an id nor an id@revision.
    """
    found: list[tuple[str, int | None]] = []
    errors: list[dict[str, Any]] = []
    for entry in (part.strip() for part in text.split(",")):
        match = ENTRY.fullmatch(entry)
        if match is None:
            detail = f"{entry[:100]!r} is neither an id nor id@revision."
            errors.append({"input": WANTED, "detail": detail, "received": entry[:100]})
        else:
            found.append((possible(match[1]), int(match[2]) if match[2] else None))
    if errors:
        raise ProblemError(INVALID_PARAMETER, errors=errors)
    return found


def _refused(error: InputError) -> ProblemError:
    """Tell which of those named cannot be compared, and why."""
    errors = [
        {"input": fault.input, "detail": fault.detail, "received": fault.received}
        | ({"allowed": fault.allowed} if fault.allowed else {})
        for fault in error.faults
    ]
    return ProblemError(INVALID_PARAMETER, errors=errors)


def _rows(body: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for entry in body["compared"]:
        about = {name: value for name, value in entry.items() if name != "systems"}
        for system in entry["systems"]:
            yield {**about, **system}
