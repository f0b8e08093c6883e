"""The kinds of problem: what each means, and what to do about it."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of problem: its status, and what to do about it."""

    name: str
    status: int
    title: str
    explanation: str


INVALID_INPUT = Kind(
    "invalid-input",
    422,
    "The input cannot be costed as it stands",
    "Every fault is listed under errors: `input` is the path of the value, `pointer` its "
    "place in the body, `detail` says what to change, `allowed` and `unit` what can be "
    "sent, `suggestion` the nearest known name. /v1/inputs lists all inputs.",
)
INVALID_PARAMETER = Kind(
    "invalid-parameter",
    422,
    "A parameter of the address is not understood",
    "A name or value in the query is not known or not of the right type; errors says "
    "which, and what is allowed.",
)
NOT_JSON = Kind(
    "not-json",
    400,
    "The body is not JSON",
    "Send JSON (RFC 8259) in UTF-8. Comments, trailing commas and single quotes are not JSON.",
)
BAD_REQUEST = Kind(
    "bad-request",
    400,
    "The request is not understood",
    "The request breaks the rules of HTTP or of this interface; the detail says how.",
)
UNSUPPORTED_MEDIA_TYPE = Kind(
    "unsupported-media-type",
    415,
    "The body is of a type that is not taken here",
    "Send JSON with the header Content-Type: application/json, and not compressed.",
)
BODY_TOO_LARGE = Kind(
    "body-too-large",
    413,
    "The body is too large",
    "A body may have at most 1 MiB (1,048,576 bytes).",
)
NOT_FOUND = Kind(
    "not-found",
    404,
    "There is nothing at this address",
    "Check the spelling; addresses have no slash at the end. /docs lists them all.",
)
UNKNOWN_SCENARIO = Kind(
    "unknown-scenario",
    404,
    "No scenario has this id",
    "Nothing is stored under the id that was sent. Send the scenario itself as `document`.",
)
UNKNOWN_REFERENCE_VALUE = Kind(
    "unknown-reference-value",
    404,
    "No reference value has this key",
    "/v1/reference-values lists all keys; errors names the nearest one.",
)
UNKNOWN_EDITION = Kind(
    "unknown-edition",
    404,
    "No reference edition has this name",
    "/v1/version lists the editions of the reference values.",
)
METHOD_NOT_ALLOWED = Kind(
    "method-not-allowed",
    405,
    "This method is not offered here",
    "The header Allow lists the methods of this address.",
)
NOT_READY = Kind(
    "not-ready",
    503,
    "The service is not ready",
    "It is starting, or its reference values cannot be read. Try again shortly.",
)
INTERNAL_ERROR = Kind(
    "internal-error",
    500,
    "Something went wrong in the service",
    "This is a fault of the service, not of the request. Report it with the request id.",
)
REFUSED = Kind(
    "refused",
    400,
    "The request was refused",
    "The detail says why.",
)

KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        INVALID_INPUT,
        INVALID_PARAMETER,
        NOT_JSON,
        BAD_REQUEST,
        UNSUPPORTED_MEDIA_TYPE,
        BODY_TOO_LARGE,
        NOT_FOUND,
        UNKNOWN_SCENARIO,
        UNKNOWN_REFERENCE_VALUE,
        UNKNOWN_EDITION,
        METHOD_NOT_ALLOWED,
        NOT_READY,
        INTERNAL_ERROR,
        REFUSED,
    )
}
"""Every kind by its name."""

BY_STATUS: Mapping[int, Kind] = {
    kind.status: kind
    for kind in (
        BAD_REQUEST,
        NOT_FOUND,
        METHOD_NOT_ALLOWED,
        BODY_TOO_LARGE,
        UNSUPPORTED_MEDIA_TYPE,
        INVALID_INPUT,
        INTERNAL_ERROR,
        NOT_READY,
    )
}
"""The kind that stands for a status where nothing more is known."""
