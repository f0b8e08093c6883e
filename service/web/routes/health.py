"""Whether the service lives, whether it is ready, and which versions answer."""

import logging

import orjson
from anyio.to_thread import run_sync
from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.reference.table import editions, load_edition, newest_edition
from service.costing.result import ENGINE_VERSION, PACKAGE
from service.scenarios.desk import Desk
from service.web.middleware import LATER
from service.web.negotiation import JSON
from service.web.problem_kinds import NOT_READY
from service.web.problems import ProblemError

router = APIRouter(tags=["Office"])
log = logging.getLogger(__name__)


class State(BaseModel):
    """State of the service."""

    model_config = ConfigDict(extra="forbid")

    status: str


class Version(BaseModel):
    """Versions that a costing depends on."""

    model_config = ConfigDict(extra="forbid")

    name: str
    version: str = Field(description="Version of the whole program.")
    engine_version: str = Field(description="Changes whenever a number of a costing may change.")
    reference_edition: str = Field(description="The newest edition of the reference values.")
    reference_editions: list[str] = Field(description="All editions that can be asked for.")


@router.get("/health/live", operation_id="get_live", summary="Is it alive", response_model=State)
async def get_live() -> Response:
    """Answer as long as the process runs."""
    return _answer({"status": "live"})


@router.get("/health/ready", operation_id="get_ready", summary="Is it ready", response_model=State)
async def get_ready(request: Request) -> Response:
    """Answer once the reference values are read and the database answers.

    From when the process is told to end it is not ready any more, though it answers for a while.
    """
    if request.app.state.stopping.told:
        raise ProblemError(NOT_READY, "The service is stopping.", headers=LATER)
    try:
        ready = bool(load_edition(newest_edition()).rows)
    except (LookupError, OSError, ValueError):
        ready = False
    if not ready:
        raise ProblemError(NOT_READY, "The reference values cannot be read.", headers=LATER)
    desk = request.app.state.desk
    if desk is not None:
        await run_sync(_ask, desk)
    return _answer({"status": "ready"})


@router.get(
    "/v1/version", operation_id="get_version", summary="Which versions", response_model=Version
)
async def get_version() -> Response:
    """Return the versions of program, engine and reference values."""
    return _answer(
        {
            "name": PACKAGE,
            "version": ENGINE_VERSION,
            "engine_version": ENGINE_VERSION,
            "reference_edition": newest_edition(),
            "reference_editions": list(editions()),
        }
    )


def _ask(desk: Desk) -> None:
    """Ask the database for a sign of life.

    Raises
    ------
    ProblemError
        If it gives none, whatever the reason; the reason goes to the log alone.
    """
    try:
        desk.store.check()
    except Exception:
        log.exception("the database does not answer")
        raise ProblemError(NOT_READY, "The database does not answer.", headers=LATER) from None


def _answer(body: object) -> Response:
    return Response(orjson.dumps(body), media_type=JSON, headers={"Cache-Control": "no-cache"})
