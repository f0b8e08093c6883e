"""A page for each kind of problem: where the `type` of a problem leads."""

from collections.abc import Mapping
from html import escape

import orjson
from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.web.negotiation import HTML, JSON, preferred
from service.web.problem_kinds import KINDS, NOT_FOUND, Kind
from service.web.problems import ProblemError

HEADERS: Mapping[str, str] = {"Cache-Control": "public, max-age=300", "Vary": "Accept"}
HTML_OFFERED: dict[int | str, dict[str, object]] = {
    200: {"content": {"text/html": {"schema": {"type": "string"}}}}
}
PAGE = """<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><title>{title}</title>
<meta name="viewport" content="width=device-width, initial-scale=1"></head>
<body><main><h1>{title}</h1>
{content}
</main></body>
</html>
"""

router = APIRouter(tags=["Reference"])


class ProblemKind(BaseModel):
    """One kind of problem."""

    model_config = ConfigDict(extra="forbid")

    name: str
    type: str
    status: int
    title: str
    explanation: str


class ProblemKinds(BaseModel):
    """All kinds of problem."""

    model_config = ConfigDict(extra="forbid")

    items: list[ProblemKind]


@router.get(
    "/problems",
    operation_id="list_problems",
    summary="All kinds of problem",
    response_model=ProblemKinds,
    responses=HTML_OFFERED,  # pyright: ignore[reportArgumentType] - narrower than declared
)
async def list_problems(request: Request) -> Response:
    """Return every kind of problem that an answer can be."""
    if _wants_page(request):
        rows = "\n".join(
            f'<dt><a href="/problems/{kind.name}">{escape(kind.title)}</a> ({kind.status})</dt>'
            f"<dd>{escape(kind.explanation)}</dd>"
            for kind in KINDS.values()
        )
        return _page("Problems", f"<dl>{rows}</dl>")
    return _json({"items": [_shown(kind) for kind in KINDS.values()]})


@router.get(
    "/problems/{name}",
    operation_id="get_problem",
    summary="One kind of problem",
    response_model=ProblemKind,
    responses=HTML_OFFERED,  # pyright: ignore[reportArgumentType] - narrower than declared
)
async def get_problem(request: Request, name: str) -> Response:
    """Say what a kind of problem means and what to do about it."""
    if name not in KINDS:
        raise ProblemError(NOT_FOUND, f"There is no problem called {name[:100]!r}.")
    kind = KINDS[name]
    if _wants_page(request):
        return _page(
            kind.title,
            f"<p>{escape(kind.explanation)}</p><p>HTTP status {kind.status}.</p>"
            '<p><a href="/problems">All problems</a></p>',
        )
    return _json(_shown(kind))


def _wants_page(request: Request) -> bool:
    return preferred(request.headers.get("Accept", ""), (JSON, HTML)) == HTML


def _shown(kind: Kind) -> dict[str, object]:
    return {
        "name": kind.name,
        "type": f"/problems/{kind.name}",
        "status": kind.status,
        "title": kind.title,
        "explanation": kind.explanation,
    }


def _page(title: str, content: str) -> Response:
    return HTMLResponse(PAGE.format(title=escape(title), content=content), headers=HEADERS)


def _json(body: object) -> Response:
    return Response(orjson.dumps(body), media_type=JSON, headers=HEADERS)
