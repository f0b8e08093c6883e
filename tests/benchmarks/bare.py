"""A bare route that returns the bytes of a file: what the service is held against.

Run as ``python -m tests.benchmarks.bare PORT FILE``.
"""

import sys
from pathlib import Path

import uvicorn
from fastapi import FastAPI
from starlette.responses import Response


def bare_app(content: bytes) -> FastAPI:
    """Return an application with one route and nothing around it."""
    app = FastAPI(openapi_url=None)

    @app.get("/health/ready")
    @app.get("/content")
    async def get_content() -> Response:
        return Response(
            content, media_type="application/json", headers={"Content-Encoding": "gzip"}
        )

    return app


if __name__ == "__main__":
    _, port, file = sys.argv
    app = bare_app(Path(file).read_bytes())
    uvicorn.run(app, host="127.0.0.1", port=int(port), log_level="critical", access_log=False)
