"""Costing a document: the question comes in whole, the answer goes out whole, nothing is stored."""

from email.message import Message
from typing import Annotated

import orjson
from anyio.to_thread import run_sync
from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.result import costing_document
from service.web.costing_request import envelope_pointer, read_request
from service.web.negotiation import JSON
from service.web.problem_kinds import (
    INVALID_INPUT,
    NOT_JSON,
    UNKNOWN_SCENARIO,
    UNSUPPORTED_MEDIA_TYPE,
)
from service.web.problems import ProblemError, errors_of
from service.web.reading import scenario_of
from service.web.strict_json import NotJsonError

LARGE_BODY = 32_768
"""Larger bodies are worked on in a thread, so that others are answered meanwhile."""

CHARSETS = {"", "utf-8", "utf8", "us-ascii"}

router = APIRouter(tags=["Costing"])


class CostingParameters(BaseModel):
    """What the answer should hold."""

    model_config = ConfigDict(extra="forbid")

    workings: bool = Field(
        default=False,
        title="Workings",
        description="Whether each line unfolds to the inputs and reference values it is made of.",
    )


@router.post(
    "/v1/costings",
    operation_id="cost_document",
    summary="Cost a scenario",
    openapi_extra={"x-body": "CostingRequest", "x-answer": "Costing"},
)
async def cost_document(
    request: Request, parameters: Annotated[CostingParameters, Query()]
) -> Response:
    """Cost every system of a scenario and compare them; nothing is stored.

    `set` changes single inputs of the document by their paths before it is costed.
    """
    _refuse_other_types(request)
    body = await request.body()
    if parameters.workings or len(body) > LARGE_BODY:
        answer = await run_sync(costed, body, parameters.workings)
    else:
        answer = costed(body, parameters.workings)
    return Response(answer, media_type=JSON, headers={"Cache-Control": "no-store"})


def costed(body: bytes, workings: bool) -> bytes:  # noqa: FBT001 - called by position in a thread
    """Return the costing that a body asks for, as JSON.

    Raises
    ------
    ProblemError
        If it cannot be read or costed.
    """
    pointer = envelope_pointer
    try:
        asked = read_request(body)
        if asked.scenario is not None:
            raise ProblemError(
                UNKNOWN_SCENARIO, f"Nothing is stored under {asked.scenario[:100]!r}."
            )
        pointer = asked.pointer
        document, faults = asked.settled()
        scenario = scenario_of(document, faults, sound=asked.sound)
        costing = cost(scenario, workings=workings)
    except NotJsonError as error:
        raise ProblemError(NOT_JSON, str(error)) from None
    except InputError as error:
        raise ProblemError(
            INVALID_INPUT,
            errors=errors_of(error.faults, pointer),
            errors_in_all=len(error.faults),
        ) from None
    answer = costing_document(costing, workings=workings, given=document)
    return orjson.dumps(answer, option=orjson.OPT_SERIALIZE_NUMPY)


def _refuse_other_types(request: Request) -> None:
    """Refuse a body that is not plain JSON.

    Raises
    ------
    ProblemError
        If its type is another, or it is compressed.
    """
    header = Message()
    header["Content-Type"] = request.headers.get("Content-Type", "none/none")
    charset = header.get_content_charset("") or ""
    if header.get_content_type() != JSON or charset not in CHARSETS:
        raise ProblemError(
            UNSUPPORTED_MEDIA_TYPE,
            "Send the body as Content-Type: application/json, in UTF-8.",
            headers={"Accept": JSON},
        )
    if request.headers.get("Content-Encoding", "identity").lower() != "identity":
        raise ProblemError(
            UNSUPPORTED_MEDIA_TYPE,
            "Send the body as it is, not compressed.",
            headers={"Accept-Encoding": "identity"},
        )
