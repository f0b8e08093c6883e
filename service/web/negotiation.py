"""Which form of an answer the caller gets: by suffix, then by parameter, then by Accept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import orjson
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request
from starlette.responses import Response

from service.web import tables

JSON = "application/json"
CSV = "text/csv"
HTML = "text/html"

CATALOG_CACHING = "public, max-age=300"


class TableParameters(BaseModel):
    """Form of a table."""

    model_config = ConfigDict(extra="forbid")

    format: Literal["json", "csv"] | None = Field(
        None, title="Form", description="json or csv; goes before the header Accept."
    )
    dialect: tables.Dialect | None = Field(
        None,
        title="Dialect of CSV",
        description="excel adds a byte order mark; excel-eu has semicolons and decimal commas too; "
        "tsv has tabs.",
    )


@dataclass(frozen=True, slots=True)
class Listing:
    """A catalogue ready to be sent: its name, columns, rows and what else its JSON says."""

    name: str
    columns: Sequence[str]
    rows: Iterable[Mapping[str, Any]]
    about: Mapping[str, Any]

    def answer(self, request: Request, parameters: TableParameters) -> Response:
        """Return it in the form that was asked for."""
        headers = {"Cache-Control": CATALOG_CACHING, "Vary": "Accept"}
        if wants_csv(request, parameters):
            suffix = "tsv" if parameters.dialect == "tsv" else "csv"
            headers["Content-Disposition"] = f'attachment; filename="{self.name}.{suffix}"'
            return Response(
                tables.table(self.columns, self.rows, parameters.dialect),
                media_type=tables.media_type(parameters.dialect),
                headers=headers,
            )
        body = orjson.dumps({**self.about, "items": list(self.rows)})
        return Response(body, media_type=JSON, headers=headers)


def wants_csv(request: Request, parameters: TableParameters) -> bool:
    """Whether the caller asked for a table as CSV."""
    path = request.url.path
    if path.endswith((".csv", ".json")):
        return path.endswith(".csv")
    if parameters.format is not None:
        return parameters.format == "csv"
    if parameters.dialect is not None:
        return True
    return preferred(request.headers.get("Accept", ""), (JSON, CSV)) == CSV


def preferred(accept: str, offers: Sequence[str]) -> str:
    """Return the offer that an Accept header likes best; the first among equals.

    RFC 9110, section 12.5.1.
    """
    likings = [_parsed(part) for part in accept.split(",") if part.strip()]
    return max(offers, key=lambda offer: _quality(offer, likings)) if likings else offers[0]


def _parsed(part: str) -> tuple[str, float]:
    name, *parameters = (piece.strip() for piece in part.split(";"))
    quality = next((p[2:] for p in parameters if p[:2].lower() == "q="), "1")
    try:
        return name.lower(), min(1.0, max(0.0, float(quality)))
    except ValueError:
        return name.lower(), 0.0


def _quality(offer: str, likings: Iterable[tuple[str, float]]) -> float:
    """Quality that the most specific range gives to a media type."""
    wildcard = f"{offer.partition('/')[0]}/*"
    ranks = {offer: 2, wildcard: 1, "*/*": 0}
    found = [(ranks[name], quality) for name, quality in likings if name in ranks]
    return max(found)[1] if found else 0.0
