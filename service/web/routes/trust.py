"""What the engine was held against: a page, the same as Markdown and as records, the documents."""

import gzip
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from typing import Annotated, Any

import orjson
from anyio.to_thread import run_sync
from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from service.trust.listing import UnknownDocumentError, case_of, document_of, line_of, records
from service.trust.markdown import markdown
from service.trust.records import published_cases
from service.trust.review_records import reference_review
from service.web.answers import not_modified
from service.web.encodings import takes_gzip
from service.web.negotiation import CATALOG_CACHING, HTML, JSON
from service.web.pages.templating import content_policy
from service.web.pages_trust.trust_page import own_style, trust_page
from service.web.preconditions import has_already
from service.web.problem_kinds import NOT_FOUND
from service.web.problems import ProblemError
from service.web.trust_models import TrustRecords

MARKDOWN = "text/markdown"
TAG_LETTERS = 32
MOST_LINES = 1000
TEXT: Mapping[str, Any] = {"schema": {"type": "string"}}

router = APIRouter(tags=["Reference"])


@dataclass(frozen=True, slots=True)
class Made:
    """A form of the page, made once: it changes with the version of the service alone."""

    plain: bytes
    packed: bytes
    tag: str


@router.get(
    "/trust",
    operation_id="get_trust_page",
    summary="What the service was held against, as a page",
    response_class=Response,
    responses={200: {"content": {HTML: TEXT}}},
)
async def get_trust_page(request: Request) -> Response:
    """Show published cases beside what the engine says, and how well each default is borne out.

    Lines that differ come first, each with the reason.
    """
    policy = {"Content-Security-Policy": content_policy(own_style())}
    return await run_sync(_answer, request, _page, f"{HTML}; charset=utf-8", policy)


@router.get(
    "/trust.md",
    operation_id="get_trust_text",
    summary="The same as Markdown",
    response_class=Response,
    responses={200: {"content": {MARKDOWN: TEXT}}},
)
async def get_trust_text(request: Request) -> Response:
    """Return the page as Markdown."""
    return await run_sync(_answer, request, _text, f"{MARKDOWN}; charset=utf-8")


@router.get(
    "/trust.json",
    operation_id="get_trust_records",
    summary="The same as records",
    response_model=TrustRecords,
)
async def get_trust_records(request: Request) -> Response:
    """Return every case, line and graded value, figures unrounded, with outcomes and counts."""
    return await run_sync(_answer, request, _records, JSON)


@router.get(
    "/trust/documents/{case}/{document}.json",
    operation_id="get_trust_document",
    summary="A document of a case, ready to be costed",
    openapi_extra={"x-answer": "CostingRequest"},
)
async def get_trust_document(
    case: str,
    document: str,
    line: Annotated[
        int | None,
        Query(
            ge=1,
            le=MOST_LINES,
            title="Line",
            description="Number of a line: with what was set on the document for it.",
        ),
    ] = None,
) -> Response:
    """Return a body for `POST /v1/costings`, as it was sent for the page."""
    try:
        found = case_of(published_cases(), case)
        body: dict[str, Any] = {"document": document_of(found, document)}
        if line is not None:
            body["set"] = line_of(found, document, line).settings
    except UnknownDocumentError as error:
        raise ProblemError(NOT_FOUND, str(error)) from None
    headers = {"Cache-Control": CATALOG_CACHING}
    return Response(orjson.dumps(body), media_type=JSON, headers=headers)


def _answer(
    request: Request,
    make: Callable[[], Made],
    media_type: str,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Answer with an entity tag, packed for whoever takes it so."""
    made = make()
    packed = takes_gzip(request.headers.get("Accept-Encoding", ""))
    about = {
        "Cache-Control": CATALOG_CACHING,
        "Vary": "Accept-Encoding",
        "ETag": f'"{made.tag}-gzip"' if packed else f'"{made.tag}"',
        **(headers or {}),
    }
    if has_already(request, about["ETag"]):
        return not_modified(about)
    if packed:
        about["Content-Encoding"] = "gzip"
    return Response(made.packed if packed else made.plain, media_type=media_type, headers=about)


@cache
def _page() -> Made:
    return _made(trust_page(published_cases(), reference_review()).encode())


@cache
def _text() -> Made:
    return _made(markdown(published_cases(), reference_review()).encode())


@cache
def _records() -> Made:
    return _made(orjson.dumps(records(published_cases(), reference_review())))


def _made(content: bytes) -> Made:
    tag = sha256(content).hexdigest()[:TAG_LETTERS]
    return Made(content, gzip.compress(content, mtime=0), tag)
