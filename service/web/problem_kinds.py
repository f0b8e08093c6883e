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
    "place in the body, `cell` that in an answer sheet, `detail` says what to change, `allowed` "
    "and `unit` what can be sent, `suggestion` the nearest known name. /v1/inputs lists all "
    "inputs.",
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
    "Send JSON with the header Content-Type: application/json, and not compressed. Where a whole "
    "scenario is stored, an answer sheet may come by its own type: text/csv, or that of .xlsx.",
)
BODY_TOO_LARGE = Kind(
    "body-too-large",
    413,
    "The body is too large",
    "A body may have at most 1 MiB (1,048,576 bytes); daily weather and sweeps 10 MiB, an answer "
    "sheet 4,000,000 bytes.",
)
REQUEST_TIMEOUT = Kind(
    "request-timeout",
    408,
    "The body of the request did not come in time",
    "Nothing was done, and the connection is closed. Send the request again; the detail says how "
    "long a body may take.",
)
HEAD_TOO_LARGE = Kind(
    "head-too-large",
    431,
    "The head of the request is too large",
    "Address and headers together may have at most 64 KiB, and the connection is closed. Send what "
    "is long in the body.",
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
    "Nothing is kept under this id that the key or link may see. For a costing, the scenario "
    "itself can be sent as `document`.",
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
    "It is starting or stopping, or its reference values cannot be read, or its database does not "
    "answer. Try again shortly.",
)
NO_TOKEN = Kind(
    "no-token",
    401,
    "This needs a key or a link",
    "Send the header Authorization: Bearer with an office key or a share link's token. A read "
    "link's token may also stand in the address of a GET, as token=. An office's first key is made "
    "on the host: winterground key create.",
)
UNKNOWN_TOKEN = Kind(
    "unknown-token",
    401,
    "The key or link opens nothing",
    "It was never made, has expired, was revoked, or is mistyped or cut off; the last of these is "
    "said. Ask whoever gave it to you for a new one.",
)
UNKNOWN_LINK = Kind(
    "unknown-link",
    404,
    "This link opens nothing",
    "It has expired, was revoked, or is mistyped or cut off. Ask whoever gave it to you for a "
    "new one.",
)
TOO_LITTLE_ACCESS = Kind(
    "too-little-access",
    403,
    "The key or link is good, but not for this",
    "The detail says what is needed. GET /v1/me says what the key or link may do.",
)
NO_DATABASE = Kind(
    "no-database",
    503,
    "Nothing is kept here",
    "The service was started without a database: it costs documents and keeps nothing.",
)
STORE_BUSY = Kind(
    "store-busy",
    503,
    "The database is busy or does not answer",
    "Nothing was changed, unless the database stopped at the very end of the change: then all of "
    "it was. Send the request again after the seconds in Retry-After; a POST with an "
    "Idempotency-Key, so that it acts once.",
)
STORE_FULL = Kind(
    "storage-full",
    507,
    "There is no room left to keep this",
    "Nothing was changed, and what is kept can still be read. Sent again it fails again until "
    "whoever runs the service has made room on the disk, or given the database a larger one.",
)
UNKNOWN_PART = Kind(
    "unknown-part",
    404,
    "The scenario has nothing of this name",
    "The scenario is there, but not this revision, costing, link, note, winter or analysis of it.",
)
BINNED_SCENARIO = Kind(
    "binned-scenario",
    404,
    "The scenario lies in the bin",
    "It can be taken out with POST .../restore for 30 days after it was put there; after that it "
    "is erased.",
)
NOT_BINNED = Kind(
    "not-binned",
    409,
    "The scenario does not lie in the bin",
    "Only what lies in the bin can be taken out of it.",
)
EXTERNAL_ID_TAKEN = Kind(
    "external-id-taken",
    409,
    "Another scenario of the office has this external id",
    "`scenario` under errors is its id: change that scenario, or send another external_id.",
)
STALE_REVISION = Kind(
    "stale-revision",
    412,
    "The scenario was changed since it was read",
    "Nothing was changed. The header ETag is that of the newest revision; errors lists the inputs "
    "that differ between the revision named in If-Match and the newest. Read it again, then send "
    "the change again.",
)
STALE_WINTER = Kind(
    "stale-winter",
    412,
    "The winter was recorded or changed since it was read",
    "Nothing was changed. The header ETag is that of the version that stands, if there is one; "
    "errors lists the facts that differ between what was sent and what stands. Read it again, then "
    "send the facts again.",
)
PRECONDITION_REQUIRED = Kind(
    "precondition-required",
    428,
    "This needs the header If-Match",
    "Send If-Match with the ETag of the revision that was read, so that nobody's change is lost.",
)
LAST_ADMIN_KEY = Kind(
    "last-admin-key",
    409,
    "The office has no other admin key",
    "Make another admin key first; whoever runs the host can revoke this one all the same.",
)
TOO_MANY_LINKS = Kind(
    "too-many-links",
    409,
    "The scenario has as many live links as it can have",
    "Revoke one that is not needed any more, then make the new one.",
)
TOO_MANY_WINTERS = Kind(
    "too-many-winters",
    409,
    "The scenario has as many recorded winters as it can have",
    "Nothing was recorded. Winters that stand can still be changed.",
)
KEY_IN_FLIGHT = Kind(
    "idempotency-key-in-flight",
    409,
    "A request with this Idempotency-Key is being worked on",
    "Send it again after the seconds in Retry-After; it is then answered as the first one was.",
)
KEY_REUSED = Kind(
    "idempotency-key-reused",
    422,
    "This Idempotency-Key was sent before with another request",
    "Use a new key for each new request; the same key repeats the same request alone.",
)
SECRET_SHOWN = Kind(
    "secret-shown-once",
    409,
    "The first answer to this request held a token, which is shown once",
    "The key or link was made; its token is not kept and cannot be shown again. If the first "
    "answer was lost, revoke what it made (its id stands in the detail) and make a new one.",
)
UNKNOWN_WEATHER_RECORD = Kind(
    "unknown-weather-record",
    404,
    "No weather record has this id",
    "Nothing is kept under this id that the key may see, or its winters were never counted so. "
    "GET /v1/weather-records lists the records of the office.",
)
RECORD_IN_USE = Kind(
    "weather-record-in-use",
    409,
    "Scenarios take their winters from this record",
    "A revision that was costed with it could not be costed again. errors lists some of the "
    "scenarios; erase them first, or leave the record.",
)
ANALYSIS_ENDED = Kind(
    "analysis-ended",
    409,
    "The analysis has ended already",
    "There is nothing to cancel: it is done, failed or was cancelled before; the detail says "
    "which. DELETE forgets it.",
)
TOO_MANY_ANALYSES = Kind(
    "too-many-analyses",
    429,
    "The office has as many questions and sweeps waiting as it can have",
    "Wait until some are done, or cancel those that are not needed any more; then ask again.",
)
UNKNOWN_SWEEP = Kind(
    "unknown-sweep",
    404,
    "No sweep has this id",
    "Nothing is kept under this id that the key may see. GET /v1/sweeps lists the sweeps of the "
    "office; one is forgotten 90 days after it was made.",
)
SWEEP_ENDED = Kind(
    "sweep-ended",
    409,
    "The sweep has ended already",
    "There is nothing to cancel: it is done, failed or was cancelled before; the detail says "
    "which. DELETE forgets it.",
)
RESULTS_NOT_READY = Kind(
    "results-not-ready",
    503,
    "The sweep is not done yet",
    "Ask again after the seconds in Retry-After; or take the rows that are there with "
    "partial=true. The header Results-Complete says whether they are all.",
)
TOO_MANY_REQUESTS = Kind(
    "too-many-requests",
    429,
    "More was asked for than may be in a minute",
    "Nothing was done. Send the request again after the seconds in Retry-After. What a request "
    "takes hangs on the work that it asks for: costings, questions and large bodies take more "
    "than reading. A key or a link has more than an address that shows neither, and many keys or "
    "links that open nothing slow down the address they come from.",
)
PDF_NOT_INSTALLED = Kind(
    "pdf-not-installed",
    406,
    "This service cannot make PDF",
    "The library for it is not installed. Whoever runs the service can add it: pip install "
    "'winterground[pdf]'. Or open the same address with .html and print it from the browser, to "
    "paper or to PDF.",
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
    kind.name: kind for kind in tuple(globals().values()) if isinstance(kind, Kind)
}
"""Every kind by its name."""

BY_STATUS: Mapping[int, Kind] = {
    kind.status: kind
    for kind in (
        BAD_REQUEST,
        NO_TOKEN,
        TOO_LITTLE_ACCESS,
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
