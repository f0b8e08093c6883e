"""The application: routes, what surrounds them, and what it reads when it starts."""

import gc
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.middleware import Middleware

from service.costing.reference.table import load_edition, newest_edition
from service.web.middleware import BodyLimit, HeadAsGet, LastResort, RequestId, SecurityHeaders
from service.web.problems import answer_with_problems
from service.web.reading import prepare
from service.web.routes import catalogs, costings, documentation, health, problem_pages


def create_app() -> FastAPI:
    """Return the application, ready to be served."""
    app = FastAPI(
        title="Winterground",
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        lifespan=_lifespan,
        middleware=[
            Middleware(RequestId),
            Middleware(SecurityHeaders),
            Middleware(LastResort),
            Middleware(HeadAsGet),
            Middleware(BodyLimit),
        ],
    )
    for routes in (costings, catalogs, health, problem_pages, documentation):
        app.include_router(routes.router)
    answer_with_problems(app)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncGenerator[None]:
    """Read what the first request would otherwise wait for."""
    del app
    load_edition(newest_edition())
    prepare()
    gc.collect()
    gc.freeze()  # what lives as long as the server need not be looked through again and again
    yield
