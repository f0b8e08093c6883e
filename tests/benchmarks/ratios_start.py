"""How soon a server answers and what it takes, against one route with the same five libraries."""

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.measure import Measure
from tests.benchmarks.ratio import Ratio
from tests.benchmarks.server import first_answer, free_port, served

STARTS = 3
KILOBYTES = 1024
FIVE = "import fastapi, uvicorn, sqlalchemy, numpy, orjson"
OURS = "import service.web.serving"
NOTHING = "pass"
ONE_ROUTE = (
    FIVE
    + """
import sys
from starlette.responses import Response
app = fastapi.FastAPI(openapi_url=None)
@app.get("/health/ready")
async def ready():
    return Response(b"{}")
uvicorn.run(app, host="127.0.0.1", port=int(sys.argv[1]), log_level="critical", access_log=False)
"""
)
SELDOM = ("scipy", "pandas", "matplotlib", "weasyprint", "xlsxwriter", "openpyxl")
LOADED = f"""
import asyncio, sys
from service.web.app import create_app
async def started():
    app = create_app()
    async with app.router.lifespan_context(app):
        pass
asyncio.run(started())
print(sum(name in sys.modules for name in {SELDOM}))
"""
TIMED = "import time\n{}\nprint(time.process_time())"

Started = Callable[[], AbstractContextManager[tuple[int, int]]]


def start_measures() -> Iterator[Measure]:
    """T11 to T11d: time to the first answer, imports, memory, and what must not be imported."""
    with tempfile.TemporaryDirectory() as folder:

        def ours() -> AbstractContextManager[tuple[int, int]]:
            return served(folder)

        with ours():
            pass  # the first start makes the database
        starts = [(_started(ours), _started(one_route)) for _ in range(STARTS)]
    seconds = [statistics.median(each[side].seconds for each in starts) for side in (0, 1)]
    memory = [min(each[side].megabytes for each in starts) for side in (0, 1)]
    ratio = statistics.median(own.seconds / other.seconds for own, other in starts)
    yield Ratio("T11 first answer, ours / one route", ratio, "times", 1.6, aim=1.3)
    yield Measure("   ours", seconds[0], "s")
    imports = [min(_import_seconds(of) for _ in range(STARTS)) for of in (OURS, FIVE, NOTHING)]
    ratio = (imports[0] - imports[2]) / (imports[1] - imports[2])
    yield Ratio(
        "T11b processor time of imports, ours / five libraries", ratio, "times", 1.6, aim=1.4
    )
    yield Ratio(
        "T11c memory when idle, ours / one route", memory[0] / memory[1], "times", 1.3, aim=1.1
    )
    yield Measure("   ours, proportional share", memory[0], "MB")
    loaded = float(_printed(LOADED))
    yield Measure("T11d of six libraries seldom needed, imported at start", loaded, "", 0)


@contextmanager
def one_route() -> Iterator[tuple[int, int]]:
    """Start a server of one route; yield its port and process once it is ready."""
    port = free_port()
    command = [sys.executable, "-c", ONE_ROUTE, str(port)]
    server = subprocess.Popen(command)  # noqa: S603 - our own text
    try:
        first_answer(port)
        yield port, server.pid
    finally:
        server.terminate()
        server.wait()


@dataclass(frozen=True)
class Start:
    """One start: how long until the first answer, and its share of memory then."""

    seconds: float
    megabytes: float


def _started(start: Started) -> Start:
    began = time.perf_counter()
    with start() as (_, process):
        seconds = time.perf_counter() - began
        lines = Path(f"/proc/{process}/smaps_rollup").read_text("ascii").splitlines()
    [share] = [line.split()[1] for line in lines if line.startswith("Pss:")]
    return Start(seconds, int(share) / KILOBYTES)


def _import_seconds(statement: str) -> float:
    return float(_printed(TIMED.format(statement)))


def _printed(program: str) -> str:
    command = [sys.executable, "-c", program]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout  # noqa: S603
