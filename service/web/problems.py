"""Problems: one body for whatever goes wrong (RFC 9457), and a page for each kind."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

import orjson
from fastapi import FastAPI, Request
from fastapi.dependencies.utils import get_flat_params
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.costing.errors import Fault, nearest

MEDIA_TYPE = "application/problem+json"
MOST_ERRORS = 200
"""More faults than this are counted, not listed."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of problem: its status, and what to do about it."""

    name: str
    status: int
    title: str
    explanation: str


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "invalid-input",
            422,
            "The input cannot be costed as it stands",
            "Every fault is listed under errors: `input` is the path of the value, `pointer` its "
            "place in the body, `detail` says what to change, `allowed` and `unit` what can be "
            "sent, `suggestion` the nearest known name. /v1/inputs lists all inputs.",
        ),
        Kind(
            "invalid-parameter",
            422,
            "A parameter of the address is not understood",
            "A name or value in the query is not known or not of the right type; errors says "
            "which, and what is allowed.",
        ),
        Kind(
            "not-json",
            400,
            "The body is not JSON",
            "Send JSON (RFC 8259) in UTF-8. Comments, trailing commas and single quotes are not "
            "JSON.",
        ),
        Kind(
            "bad-request",
            400,
            "The request is not understood",
            "The request breaks the rules of HTTP or of this interface; the detail says how.",
        ),
        Kind(
            "unsupported-media-type",
            415,
            "The body is of a type that is not taken here",
            "Send JSON with the header Content-Type: application/json, and not compressed.",
        ),
        Kind(
            "body-too-large",
            413,
            "The body is too large",
            "A body may have at most 1 MiB (1,048,576 bytes).",
        ),
        Kind(
            "not-found",
            404,
            "There is nothing at this address",
            "Check the spelling; addresses have no slash at the end. /docs lists them all.",
        ),
        Kind(
            "unknown-scenario",
            404,
            "No scenario has this id",
            "Nothing is stored under the id that was sent. Send the scenario itself as `document`.",
        ),
        Kind(
            "unknown-reference-value",
            404,
            "No reference value has this key",
            "/v1/reference-values lists all keys; errors names the nearest one.",
        ),
        Kind(
            "unknown-edition",
            404,
            "No reference edition has this name",
            "/v1/version lists the editions of the reference values.",
        ),
        Kind(
            "method-not-allowed",
            405,
            "This method is not offered here",
            "The header Allow lists the methods of this address.",
        ),
        Kind(
            "not-ready",
            503,
            "The service is not ready",
            "It is starting, or its reference values cannot be read. Try again shortly.",
        ),
        Kind(
            "internal-error",
            500,
            "Something went wrong in the service",
            "This is a fault of the service, not of the request. Report it with the request id.",
        ),
        Kind(
            "refused",
            400,
            "The request was refused",
            "The detail says why.",
        ),
    )
}

BY_STATUS: Mapping[int, str] = {
    400: "bad-request",
    404: "not-found",
    405: "method-not-allowed",
    413: "body-too-large",
    415: "unsupported-media-type",
    422: "invalid-input",
    500: "internal-error",
    503: "not-ready",
}


class ProblemError(Exception):
    """Ends a request with a problem."""

    def __init__(
        self,
        name: str,
        detail: str = "",
        errors: Sequence[Mapping[str, Any]] = (),
        errors_in_all: int = 0,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.kind = KINDS[name]
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
                ("pointer", pointer(fault.input)),
                ("input", fault.input),
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
    name: str,
    detail: str = "",
    *,
    status: int | None = None,
    errors: Sequence[Mapping[str, Any]] = (),
    errors_in_all: int = 0,
    headers: Mapping[str, str] | None = None,
    request_id: str | None = None,
) -> Response:
    """Return the answer that tells of a problem."""
    kind = KINDS[name]
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
        body["errors"] = list(errors)
    if count > len(errors):
        body["errors_in_all"] = count
    if request_id:
        body["request_id"] = request_id
    return Response(
        orjson.dumps(body, option=orjson.OPT_SERIALIZE_NUMPY, default=str),
        status or kind.status,
        media_type=MEDIA_TYPE,
        headers=dict(headers or {}),
    )


def answer_with_problems(app: FastAPI) -> None:
    """Make every answer of the application that is not a success a problem."""
    app.add_exception_handler(ProblemError, _on_problem)
    app.add_exception_handler(RequestValidationError, _on_parameters)
    app.add_exception_handler(HTTPException, _on_http)


def _on_problem(request: Request, error: Exception) -> Response:
    del request
    if not isinstance(error, ProblemError):
        raise error
    return problem_response(
        error.kind.name,
        error.detail,
        errors=error.errors,
        errors_in_all=error.errors_in_all,
        headers=error.headers,
    )


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
    elif error.status_code == KINDS["not-found"].status:
        detail = f"There is nothing at {request.url.path[:200]}."
    name = BY_STATUS.get(error.status_code, "refused")
    return problem_response(name, detail, status=error.status_code, headers=headers)


def _on_parameters(request: Request, error: Exception) -> Response:
    if not isinstance(error, RequestValidationError):
        raise error
    known = _parameters(request)
    errors = [_parameter_error(found, known) for found in error.errors()]
    return problem_response("invalid-parameter", errors=errors)


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
