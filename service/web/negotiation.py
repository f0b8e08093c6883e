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
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
HTML = "text/html"

FORMS: Mapping[str, str] = {"json": JSON, "csv": CSV, "xlsx": XLSX}
"""Media types of the forms that a costing comes in, by their suffix; the first unless asked."""

CATALOG_CACHING = "public, max-age=300"


class DialectParameter(BaseModel):
    """How CSV is written."""

    model_config = ConfigDict(extra="forbid")

    dialect: tables.Dialect | None = Field(
        None,
        title="Dialect of CSV",
        description="excel adds a byte order mark; excel-eu has semicolons and decimal commas too; "
        "tsv has tabs.",
    )


class TableParameters(DialectParameter):
    """Form of a table."""

    format: Literal["json", "csv"] | None = Field(
        None, title="Form", description="json or csv; goes before the header Accept."
    )


class WorkbookParameters(DialectParameter):
    """Form of a table that comes as a workbook too."""

    format: Literal["json", "csv", "xlsx"] | None = Field(
        None, title="Form", description="json, csv or xlsx; goes before the header Accept."
    )


class SheetParameters(BaseModel):
    """Form of a scenario that comes as an answer sheet too."""

    model_config = ConfigDict(extra="forbid")

    format: Literal["json", "csv", "xlsx"] | None = Field(
        None,
        title="Form",
        description="json, or the answer sheet as csv or xlsx; goes before the header Accept.",
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


def form_wanted(request: Request, named: str | None, dialect: str | None) -> str:
    """Return which of the forms the caller asked for: by suffix, by parameter, or by Accept."""
    path: str = request.scope["path"]
    suffix = path.rpartition(".")[2]
    if suffix in FORMS:
        return suffix
    if named is not None:
        return named
    if dialect is not None:
        return "csv"
    accept = request.headers.get("Accept", "")
    if accept in {"", "*/*", JSON}:
        return "json"
    wanted = preferred(accept, tuple(FORMS.values()))
    return next(form for form, kind in FORMS.items() if kind == wanted)


def attached(name: str, form: str, dialect: str | None = None) -> dict[str, str]:
    """Return the header by which a file is saved under a name of small letters and digits."""
    suffix = "tsv" if dialect == "tsv" else form
    return {"Content-Disposition": f'attachment; filename="{name}.{suffix}"'}


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
