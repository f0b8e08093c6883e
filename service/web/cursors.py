"""Pages of a list: each begins after the last item of the one before, named by a signed cursor.

A cursor holds where its page begins. Its signature covers the office, the list and what the list
was narrowed to, so that it opens nothing else.
"""

import hmac
import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Callable, Mapping, Sequence
from hashlib import sha256
from typing import Any, TypeVar
from urllib.parse import urlencode

from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.desk import Caller, Desk
from service.web.answers import json_answer
from service.web.attending import TokenParameter
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError

Position = Sequence[str | int]
Row = TypeVar("Row")

MOST_ITEMS = 200
USUAL_ITEMS = 50
LONGEST_CURSOR = 500
BYTES_OF_SIGNATURE = 16
PURPOSE = "cursors"


class PageParameters(TokenParameter):
    """Which page of a list."""

    limit: int = Field(
        USUAL_ITEMS, ge=1, le=MOST_ITEMS, title="Limit", description="Most items on a page."
    )
    cursor: str | None = Field(
        None,
        max_length=LONGEST_CURSOR,
        title="Cursor",
        description="Where the page begins; stands in `next` of the page before.",
    )


class Cursors:
    """Writes and reads cursors under one secret."""

    def __init__(self, secret: bytes) -> None:
        self._secret = secret

    def write(
        self, office_id: str, what: str, narrowed: Mapping[str, Any], position: Position
    ) -> str:
        """Return the cursor of a position in a list of an office."""
        content = json.dumps(list(position), separators=(",", ":")).encode()
        signature = self._signature(office_id, what, narrowed, content)
        return urlsafe_b64encode(signature + content).decode().rstrip("=")

    def read(self, text: str, office_id: str, what: str, narrowed: Mapping[str, Any]) -> Position:
        """Return the position that a cursor names.

        Raises
        ------
        ProblemError
            If it was not made for this list, narrowed like this, of this office.
        """
        try:
            raw = urlsafe_b64decode(text + "=" * (-len(text) % 4))
        except ValueError:
            raw = b""
        signature, content = raw[:BYTES_OF_SIGNATURE], raw[BYTES_OF_SIGNATURE:]
        wanted = self._signature(office_id, what, narrowed, content)
        if not hmac.compare_digest(signature, wanted):
            detail = (
                "The cursor was not made for this list as it is narrowed here; begin again "
                "without it, or follow `next` as it stands."
            )
            raise ProblemError(INVALID_PARAMETER, errors=[{"input": "cursor", "detail": detail}])
        return json.loads(content)

    def _signature(
        self, office_id: str, what: str, narrowed: Mapping[str, Any], content: bytes
    ) -> bytes:
        about = json.dumps([office_id, what, narrowed], sort_keys=True, default=str)
        digest = hmac.digest(self._secret, about.encode() + b"\n" + content, sha256)
        return digest[:BYTES_OF_SIGNATURE]


class Paging:
    """One page of a list that is being asked for.

    Ask for ``wanted`` rows from ``position`` on (empty at the beginning), then call ``answer``.
    """

    def __init__(
        self,
        request: Request,
        desk: Desk,
        caller: Caller,
        what: str,
        parameters: PageParameters,
        narrowed: Mapping[str, Any] | None = None,
    ) -> None:
        self._request = request
        self._cursors = Cursors(desk.peppers.derived(PURPOSE))
        self._of = (caller.office_id, what, narrowed or {})
        self._limit = parameters.limit
        self.position: Position = (
            self._cursors.read(parameters.cursor, *self._of) if parameters.cursor else ()
        )

    @property
    def wanted(self) -> int:
        """How many rows to ask for: one more than the page holds, to know of the next."""
        return self._limit + 1

    def answer(
        self,
        rows: Sequence[Row],
        shown: Callable[[Row], Mapping[str, Any]],
        position_of: Callable[[Row], Position],
    ) -> Response:
        """Return the page.

        Parameters
        ----------
        rows : sequence
            The rows that were found.
        shown : callable
            Gives the item of a row.
        position_of : callable
            Gives where the page after a row begins.
        """
        page = rows[: self._limit]
        following = self._after(position_of(page[-1])) if len(rows) > self._limit else None
        body = {"items": [shown(row) for row in page], "next": following}
        headers = {"Link": f'<{following}>; rel="next"'} if following else None
        return json_answer(body, headers=headers)

    def _after(self, position: Position) -> str:
        """Return the address of the page after this one; a token is not carried along."""
        asked = [
            (name, value)
            for name, value in self._request.query_params.multi_items()
            if name not in {"cursor", "token"}
        ]
        cursor = self._cursors.write(*self._of, position)
        return f"{self._request.url.path}?{urlencode([*asked, ('cursor', cursor)])}"
