"""Pages of other origins: those that are listed may ask from a browser, and no others."""

from starlette.datastructures import Headers
from starlette.middleware.cors import CORSMiddleware
from starlette.responses import Response
from starlette.types import ASGIApp

from service.web.problem_kinds import BAD_REQUEST
from service.web.problems import problem_response

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE")
TAKEN = (
    "Authorization",
    "Content-Type",
    "If-Match",
    "If-None-Match",
    "Idempotency-Key",
    "Prefer",
    "X-Request-Id",
)
"""Headers of requests."""

SHOWN = (
    "Content-Location",
    "ETag",
    "Link",
    "Location",
    "Retry-After",
    "Token-Expires",
    "X-Request-Id",
)
"""Headers of answers that a page may read."""

SECONDS = 600
"""How long a browser may go by what it was told [s]."""


class CrossOrigin(CORSMiddleware):
    """Answers what a browser asks beforehand, and marks answers as readable for listed origins.

    No cookies are taken from there: a page shows a key or a link as any other program does.
    """

    def __init__(self, app: ASGIApp, origins: tuple[str, ...]) -> None:
        super().__init__(
            app,
            allow_origins=origins,
            allow_methods=METHODS,
            allow_headers=TAKEN,
            expose_headers=SHOWN,
            allow_credentials=False,
            max_age=SECONDS,
        )

    def preflight_response(self, request_headers: Headers) -> Response:
        """Return the answer to what is asked beforehand: nothing, or why not."""
        answer = super().preflight_response(request_headers)
        if not self.is_allowed_origin(request_headers["origin"]):
            return problem_response(
                BAD_REQUEST, "This origin is not listed.", headers={"Vary": answer.headers["vary"]}
            )
        kept = {
            name: value
            for name, value in answer.headers.items()
            if name == "vary" or name.startswith("access-control-")
        }
        if answer.status_code == BAD_REQUEST.status:
            detail = "This method or header is not taken from pages of other origins."
            return problem_response(BAD_REQUEST, detail, headers=kept)
        return Response(status_code=204, headers=kept)
