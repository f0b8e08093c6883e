"""Problems: one body for whatever goes wrong (RFC 9457), and a page for each kind."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice
from typing import Any

import orjson
from fastapi import FastAPI, Request
from fastapi.dependencies.utils import get_flat_params
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.costing.errors import Fault, nearest
from service.reports.answer_sheet.faults import CellFault
from service.scenarios.tokens import masked
from service.web.problem_kinds import BY_STATUS, INVALID_PARAMETER, NOT_FOUND, REFUSED, Kind

MEDIA_TYPE = "application/problem+json"
MOST_ERRORS = 200
"""More faults than this are counted, not listed."""

LONGEST_PLACE = 1_000
"""A place with a name of more characters than any input has is told by its beginning."""


class ProblemError(Exception):
    """Ends a request with a problem."""

    def __init__(
        self,
        kind: Kind,
        detail: str = "",
        errors: Sequence[Mapping[str, Any]] = (),
        errors_in_all: int = 0,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.kind = kind
        self.detail = detail
        self.errors = errors
        self.errors_in_all = errors_in_all
        self.headers = headers
        super().__init__(detail or self.kind.title)


def errors_of(faults: Iterable[Fault], pointer: Callable[[str], str]) -> list[dict[str, Any]]:
    """Return faults as members of a problem; what is empty is left out.

    Only as many are worked out as a problem lists.
    """
    return [
        {
            name: value
            for name, value in (
                ("pointer", pointer(fault.input)[:LONGEST_PLACE]),
                ("input", fault.input[:LONGEST_PLACE]),
                ("cell", fault.cell if isinstance(fault, CellFault) else None),
                ("detail", fault.detail),
                ("received", fault.received),
                ("allowed", fault.allowed),
                ("unit", fault.unit),
                ("suggestion", fault.suggestion),
            )
            if name == "pointer" or (value is not None and value != "")
        }
        for fault in islice(faults, MOST_ERRORS)
    ]


def problem_response(
    kind: Kind,
    detail: str = "",
    *,
    status: int | None = None,
    errors: Sequence[Mapping[str, Any]] = (),
    errors_in_all: int = 0,
    headers: Mapping[str, str] | None = None,
    request_id: str | None = None,
) -> Response:
    """Return the answer that tells of a problem."""
    count = max(errors_in_all, len(errors))
    if errors and not detail:
        detail = errors[0]["detail"]
        if count > 1:
            detail += f" {count - 1} more under errors."
    body: dict[str, Any] = {
        "type": f"/problems/{kind.name}",
        "title": kind.title,
        "status": status or kind.status,
    }
    if detail:
        body["detail"] = detail
    if errors:
        body["errors"] = list(errors[:MOST_ERRORS])
    if count > len(errors[:MOST_ERRORS]):
        body["errors_in_all"] = count
    if request_id:
        body["request_id"] = request_id
    content = orjson.dumps(body, option=orjson.OPT_SERIALIZE_NUMPY, default=str)
    return Response(
        masked(content.decode()),  # an address or a value at fault may hold a token
        status or kind.status,
        media_type=MEDIA_TYPE,
        headers=dict(headers or {}),
    )


def answer_with_problems(app: FastAPI) -> None:
    """Make every answer of the application that is not a success a problem."""
    app.add_exception_handler(ProblemError, _on_problem)
    app.add_exception_handler(RequestValidationError, _on_parameters)
    app.add_exception_handler(HTTPException, _on_http)


def problem_of(error: ProblemError) -> Response:
    """Return the answer that tells of a problem that was raised."""
    return problem_response(
        error.kind,
        error.detail,
        errors=error.errors,
        errors_in_all=error.errors_in_all,
        headers=error.headers,
    )


def _on_problem(request: Request, error: Exception) -> Response:
    del request
    if not isinstance(error, ProblemError):
        raise error
    return problem_of(error)


def _on_http(request: Request, error: Exception) -> Response:
    if not isinstance(error, HTTPException):
        raise error
    headers = dict(error.headers or {})
    detail = ""
    if "Allow" in headers:
        methods = sorted({part.strip() for part in headers["Allow"].split(",")})
        if "GET" in methods:
            methods = sorted({*methods, "HEAD"})
        headers["Allow"] = ", ".join(methods)
        detail = f"{request.url.path} takes {headers['Allow']}."
    elif error.status_code == NOT_FOUND.status:
        detail = f"There is nothing at {request.url.path[:200]}."
    kind = BY_STATUS.get(error.status_code, REFUSED)
    return problem_response(kind, detail, status=error.status_code, headers=headers)


def _on_parameters(request: Request, error: Exception) -> Response:
    if not isinstance(error, RequestValidationError):
        raise error
    known = _parameters(request)
    errors = [_parameter_error(found, known) for found in error.errors()]
    return problem_response(INVALID_PARAMETER, errors=errors)


def _parameter_error(found: Mapping[str, Any], known: tuple[str, ...]) -> dict[str, Any]:
    name = str(found["loc"][-1])[:100]
    one: dict[str, Any] = {"input": name, "detail": f"{name}: {found['msg']}."}
    if found["type"] == "extra_forbidden":
        near = nearest(name, known)
        hint = f"; did you mean {near}?" if near else f"; known: {', '.join(known)}."
        one["detail"] = f"There is no parameter {name!r} here{hint}"
        if near:
            one["suggestion"] = near
    if isinstance(found.get("input"), str):
        one["received"] = found["input"][:100]
    wanted = found.get("ctx", {}).get("expected")
    if wanted:
        one["allowed"] = wanted
    return one


def _parameters(request: Request) -> tuple[str, ...]:
    """Names of the parameters that the address takes in its query."""
    dependant = getattr(request.scope.get("route"), "dependant", None)
    return tuple(field.alias for field in get_flat_params(dependant)) if dependant else ()
