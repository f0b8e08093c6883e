"""The application: routes, what surrounds them, and what it reads when it starts."""

import asyncio
import gc
import logging
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager, suppress

from anyio.to_thread import current_default_thread_limiter, run_sync
from fastapi import FastAPI
from starlette.middleware import Middleware

from service.costing.reference.table import load_edition, newest_edition
from service.scenarios.clock import ClockWatch
from service.scenarios.desk import Desk
from service.scenarios.retention import tidy
from service.web.doorway import Doorway
from service.web.middleware import BodyLimit, HeadAsGet, LastResort, RequestId, SecurityHeaders
from service.web.observing.request_log import InFlight, RequestLog, RouteNoted
from service.web.problems import answer_with_problems
from service.web.reading import prepare
from service.web.refusals import answer_refusals
from service.web.routes import (
    analyses,
    annexes,
    catalogs,
    cells,
    comparisons,
    costings,
    documentation,
    health,
    links,
    notes,
    office,
    past_winters,
    pictures,
    plan,
    problem_pages,
    quick_start,
    reviews,
    revisions,
    scenarios,
    shared_page,
    site,
    stored_costings,
    sweeps,
    templates,
    trust,
    weather_records,
    winter_form,
)
from service.web.stopping import Stopping
from service.web.workers import Workers

ROUTES = (
    stored_costings,
    cells,
    scenarios,
    costings,
    pictures,
    quick_start,
    analyses,
    revisions,
    links,
    notes,
    plan,
    past_winters,
    reviews,
    comparisons,
    weather_records,
    sweeps,
    office,
    shared_page,
    winter_form,
    annexes,
    site,
    catalogs,
    templates,
    health,
    problem_pages,
    trust,
    documentation,
)
"""The most used first: they are tried in this order."""

THREADS = 4
SECONDS_BETWEEN_TIDYINGS = 86_400

log = logging.getLogger(__name__)


def create_app(
    desk: Desk | None = None,
    *,
    open_costing: bool = True,
    public_url: str | None = None,
    threads: int = THREADS,
    analysis_workers: int = 1,
    doorway: Doorway | None = None,
) -> FastAPI:
    """Return the application, ready to be served.

    Parameters
    ----------
    desk : Desk, optional
        Where scenarios are kept; without it documents are costed and nothing is kept.
    open_costing : bool
        Whether a document is costed for whoever sends it, without a key.
    public_url : str, optional
        What share links begin with, if not the address that the request came to.
    threads : int
        How many requests are worked on at once; no more than the store has connections.
    analysis_workers : int
        How many questions that take long are worked on at once, in threads of their own.
    doorway : Doorway, optional
        Limits, and who may come in from where; without it there are no limits.
    """
    doorway = doorway or Doorway()
    app = FastAPI(
        title="Winterground",
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        lifespan=_lifespan,
        middleware=[
            Middleware(RequestId),
            Middleware(RequestLog),
            Middleware(SecurityHeaders),
            *doorway.outer(),
            Middleware(LastResort),
            Middleware(HeadAsGet),
            *doorway.inner(route for routes in ROUTES for route in routes.router.routes),
            *doorway.innermost(),
            Middleware(BodyLimit),
            Middleware(RouteNoted),
        ],
    )
    app.state.desk = desk
    app.state.open_costing = open_costing
    app.state.public_url = public_url
    app.state.threads = threads
    app.state.in_flight = InFlight()
    app.state.meters = None
    app.state.stopping = Stopping()
    app.state.workers = Workers(desk, analysis_workers if desk is not None else 0)
    app.router.routes.insert(0, stored_costings.QUICK)
    for routes in ROUTES:
        app.include_router(routes.router)
    answer_with_problems(app)
    answer_refusals(app)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncGenerator[None]:
    """Read what the first request would otherwise wait for; tidy what is kept, once a day."""
    current_default_thread_limiter().total_tokens = app.state.threads
    load_edition(newest_edition())
    prepare()
    gc.collect()
    gc.freeze()  # what lives as long as the server need not be looked through again and again
    tidying = asyncio.create_task(_tidied(app.state.desk)) if app.state.desk is not None else None
    app.state.workers.start()
    with app.state.stopping.listening(app.state.workers.hand_back):
        yield
    await run_sync(app.state.workers.stop)
    if tidying is not None:
        tidying.cancel()
        with suppress(asyncio.CancelledError):
            await tidying


async def _tidied(desk: Desk) -> None:
    """Erase what has been in the bin for long enough, and drop what is kept for a time only."""
    watch = ClockWatch(desk.now)
    while True:
        try:
            if watch.may_erase():
                await run_sync(tidy, desk)
        except Exception:
            log.exception("what is kept could not be tidied")
        await asyncio.sleep(SECONDS_BETWEEN_TIDYINGS)
