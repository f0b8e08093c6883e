"""One number as text: the content of a single cell of a spreadsheet."""

import re
from dataclasses import dataclass
from typing import Any

import orjson
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.costing.input_paths import LONGEST_NAME
from service.reports.tables.single_figure import CellValue, figure_of
from service.scenarios.costings import costing_now
from service.scenarios.desk import Caller, Desk
from service.scenarios.tokens import masked
from service.web import tables
from service.web.answers import faults_told, is_head, parameters_told
from service.web.attending import acting, desk_of
from service.web.costing_parameters import (
    CELL,
    CELL_PARAMETERS,
    ERRORS,
    IN_TEXT,
    PER,
    SCENARIO,
    SYSTEM,
    YEAR,
)
from service.web.costing_tables import body_in
from service.web.identifiers import possible
from service.web.leaf_rules import received
from service.web.problem_kinds import INTERNAL_ERROR, INVALID_PARAMETER
from service.web.problems import ProblemError
from service.web.query_settings import CostingQuery, costing_query
from service.web.refusals import REFUSALS
from service.web.scenario_answers import REVALIDATED, address_of
from service.web.what_if import what_if

PLAIN_TEXT = "text/plain"
WHOLE_NUMBER = re.compile(r"\d{1,4}")
END_OF_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
NOT_THERE = "null"
"""Stands for a figure that does not exist for the system; an empty cell would count as 0."""

router = APIRouter(tags=["Spreadsheets"])


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the cell is to hold."""

    scenario: str
    query: CostingQuery
    figure: str
    system: str | None
    year: int | None
    per: str | None

    def value(self, body: Any) -> CellValue:  # noqa: ANN401 - a costing as a document
        with parameters_told():
            return figure_of(body, self.figure, self.system, year=self.year, per=self.per)


@router.get(
    "/v1/cell/{figure:path}",
    operation_id="get_cell",
    summary="One number, for a cell",
    response_class=Response,
    responses={200: {"content": {PLAIN_TEXT: {"schema": {"type": "string"}}}}},
    openapi_extra={"parameters": CELL},
)
async def get_cell(request: Request, figure: str) -> Response:
    """Return one figure of a scenario's costing as of now, as text, in the unit of `X-Unit`.

    The number has a decimal point, no grouping and at most 15 digits; `null` is a figure that does
    not exist for the system. /v1/figures lists all. `set.<path>=value` changes single inputs for
    this cell alone. For many cells of one scenario, read a table once instead.
    """
    try:
        return await acting(request, lambda caller: _cell(request, caller, figure))
    except (ProblemError, *REFUSALS) as error:
        problem = error if isinstance(error, ProblemError) else REFUSALS[type(error)](error)
        passing = problem.kind.status >= INTERNAL_ERROR.status
        if passing or request.query_params.get(ERRORS) != IN_TEXT:
            raise
        return _text(masked(tables.cell(_sentence(problem))), {"Cache-Control": "no-store"})


def _cell(request: Request, caller: Caller, figure: str) -> Response:
    desk = desk_of(request)
    asked = _asked(costing_query(request, CELL_PARAMETERS), figure)
    if asked.query.settings:
        found, headers = _changed(desk, caller, asked)
    else:
        keep = not is_head(request)
        found, headers = _as_of_now(desk, caller, asked, keep=keep)
    value = NOT_THERE if found.value is None else tables.cell(found.value)
    return _text(value, headers | ({"X-Unit": found.unit} if found.unit else {}))


def _changed(desk: Desk, caller: Caller, asked: _Asked) -> tuple[CellValue, dict[str, str]]:
    with faults_told():
        _, content = what_if(desk, caller, asked.scenario, asked.query)
    return asked.value(orjson.loads(content)), {"Cache-Control": "no-store"}


def _as_of_now(
    desk: Desk, caller: Caller, asked: _Asked, *, keep: bool
) -> tuple[CellValue, dict[str, str]]:
    with faults_told():
        costing = costing_now(desk, caller, asked.scenario, asked.query.revision, keep=keep)
    headers = {"Cache-Control": REVALIDATED}
    if costing.id:
        headers["Content-Location"] = f"{address_of(asked.scenario)}/costings/{costing.id}"
    return asked.value(body_in(costing)), headers


def _asked(query: CostingQuery, figure: str) -> _Asked:
    """Return what is asked.

    Raises
    ------
    ProblemError
        If a parameter is missing or not understood; names every one.
    """
    given = query.others
    errors: list[dict[str, Any]] = []
    if not given.get(SCENARIO):
        errors.append({"input": SCENARIO, "detail": "scenario is missing: the id of a scenario."})
    year = given.get(YEAR)
    if year is not None and not WHOLE_NUMBER.fullmatch(year):
        detail = "year must be a whole number, from 0."
        errors.append({"input": YEAR, "detail": detail, "received": received(year)})
    if given.get(ERRORS) not in {None, IN_TEXT}:
        detail = f"errors can be {IN_TEXT}; leave it out for a problem."
        errors.append({"input": ERRORS, "detail": detail, "received": received(given[ERRORS])})
    if errors:
        raise ProblemError(INVALID_PARAMETER, errors=errors)
    return _Asked(
        scenario=possible(given[SCENARIO]),
        query=query,
        figure=figure[:LONGEST_NAME],
        system=given.get(SYSTEM),
        year=None if year is None else int(year),
        per=given.get(PER),
    )


def _sentence(problem: ProblemError) -> str:
    """Return the first sentence of what is wrong, on one line."""
    told = problem.errors[0]["detail"] if problem.errors else problem.detail
    text = " ".join((told or f"{problem.kind.title}.").split())
    return END_OF_SENTENCE.split(text)[0]


def _text(value: str, headers: dict[str, str]) -> Response:
    return Response(f"{value}\n", media_type=PLAIN_TEXT, headers=headers)
