"""The documentation page, with everything it needs served from here."""

from functools import cache
from importlib.resources import files

import orjson
from anyio.to_thread import run_sync
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from service.web.negotiation import JSON
from service.web.openapi import describe
from service.web.problem_kinds import NOT_FOUND
from service.web.problems import ProblemError

ASSETS = {
    "swagger-ui-bundle.js": "text/javascript",
    "swagger-ui.css": "text/css",
}
START = "start.js"
A_DAY = "public, max-age=86400"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; font-src 'self' data:; connect-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'"
)
"""The page styles itself inline; scripts come from here alone."""

PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Winterground: the interface</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,">
<link rel="stylesheet" href="docs/assets/swagger-ui.css">
</head>
<body>
<div id="documentation"></div>
<script src="docs/assets/swagger-ui-bundle.js"></script>
<script src="docs/assets/start.js"></script>
</body>
</html>
"""
START_SCRIPT = """SwaggerUIBundle({
  url: "openapi.json",
  dom_id: "#documentation",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  validatorUrl: null
});
"""

router = APIRouter(include_in_schema=False)


@router.get("/docs")
async def show_documentation() -> Response:
    """Return the page that shows the interface and lets one try it."""
    return HTMLResponse(PAGE, headers={"Content-Security-Policy": POLICY})


@router.get("/docs/assets/{name}")
async def get_asset(name: str) -> Response:
    """Return a script or style sheet of the page."""
    if name == START:
        return Response(START_SCRIPT, media_type="text/javascript")
    if name not in ASSETS:
        raise ProblemError(NOT_FOUND, f"The documentation has no file {name[:100]!r}.")
    content = await run_sync(_asset, name)
    return Response(content, media_type=ASSETS[name], headers={"Cache-Control": A_DAY})


@router.get("/openapi.json")
async def get_openapi(request: Request) -> Response:
    """Return the description of the interface (OpenAPI 3.1)."""
    content = await run_sync(describe, request.app)
    return Response(orjson.dumps(content), media_type=JSON, headers={"Cache-Control": "no-cache"})


@cache
def _asset(name: str) -> bytes:
    return (files("fastapi_offline") / "static" / name).read_bytes()
