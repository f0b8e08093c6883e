"""How long a caller would rather wait for an answer than come back for it (RFC 7240)."""

import re

from starlette.requests import Request

PREFER = "Prefer"
USUAL_SECONDS = 5
MOST_SECONDS = 20
WAIT = re.compile(r'\s*wait\s*=\s*"?(\d{1,9})"?\s*(?:;.*)?', re.IGNORECASE)


def preferred_wait(request: Request) -> int | None:
    """Return the seconds of the first ``wait`` that a request prefers, None without one.

    What is no preference of that form is passed over, as RFC 7240, section 2, asks for.
    """
    for header in request.headers.getlist(PREFER):
        for preference in header.split(","):
            found = WAIT.fullmatch(preference)
            if found:
                return min(int(found[1]), MOST_SECONDS)
    return None
