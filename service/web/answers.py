"""How what the desk hands over is answered: JSON, times, refusals of an input."""

from collections.abc import Callable, Generator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from email.utils import format_datetime

import orjson
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import InputError
from service.web.negotiation import JSON
from service.web.problem_kinds import INVALID_INPUT, INVALID_PARAMETER, NOT_JSON, Kind
from service.web.problems import ProblemError, errors_of
from service.web.strict_json import NotJsonError

HEAD = "winterground.head"
"""Name in the scope of a request that was HEAD and is answered as GET."""


def json_answer(
    body: object, status: int = 200, headers: Mapping[str, str] | None = None
) -> Response:
    """Return an answer in JSON that no cache keeps, unless the headers say otherwise."""
    return Response(
        json_bytes(body),
        status,
        headers={"Cache-Control": "no-store", **(headers or {})},
        media_type=JSON,
    )


def json_bytes(body: object) -> bytes:
    """Return a body as JSON."""
    return orjson.dumps(body, option=orjson.OPT_SERIALIZE_NUMPY)


def not_modified(headers: Mapping[str, str]) -> Response:
    """Answer that the caller has what it asks for (RFC 9110, section 15.4.5)."""
    return Response(status_code=304, headers=dict(headers))


def is_head(request: Request) -> bool:
    """Whether only the headers were asked for."""
    return HEAD in request.scope


def timestamp(at: datetime) -> str:
    """Return a time as RFC 3339 has it: UTC, to the millisecond."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").removesuffix("+00:00") + "Z"


def http_date(at: datetime) -> str:
    """Return a time as headers have it (RFC 9110, section 5.6.7)."""
    return format_datetime(at.astimezone(UTC), usegmt=True)


def refused(
    error: InputError, pointer: Callable[[str], str] | None = None, kind: Kind = INVALID_INPUT
) -> ProblemError:
    """Return the problem that names every fault of an input.

    Parameters
    ----------
    error : InputError
        What was found.
    pointer : callable, optional
        Gives the JSON Pointer, in the body as sent, of the path of an input; without it nothing
        was sent in a body, and none is named.
    kind : Kind
        What sort of problem it is.
    """
    errors = errors_of(error.faults, pointer or (lambda _: ""))
    if pointer is None:
        for found in errors:
            del found["pointer"]
    return ProblemError(kind, errors=errors, errors_in_all=len(error.faults))


@contextmanager
def faults_told(pointer: Callable[[str], str] | None = None) -> Generator[None]:
    """Turn what is wrong with an input into the problem that says so; see ``refused``."""
    try:
        yield
    except NotJsonError as error:
        raise ProblemError(NOT_JSON, str(error)) from None
    except InputError as error:
        raise refused(error, pointer) from None


@contextmanager
def parameters_told() -> Generator[None]:
    """Turn what is wrong with a part of the address into the problem that says so."""
    try:
        yield
    except InputError as error:
        raise refused(error, kind=INVALID_PARAMETER) from None
