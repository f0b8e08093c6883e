"""The farm page of the demo: from a stored costing, the first after start, and a what-if."""

import subprocess
import sys

from service.demo import demo_document
from service.web.app import create_app
from service.web.pages.answered_page import ASKED
from tests.benchmarks.measure import Measure, least
from tests.web.keeping import Keeping

ROUNDS = 12
FIRST = """
import time
from service.demo import demo_document
from service.web.app import create_app
from tests.web.keeping import Keeping
kept = Keeping(create_app())
scenario = kept.stored(demo_document())
kept.get(f"/v1/scenarios/{scenario}/costing")
link = kept.link(scenario)
start = time.process_time()
assert kept.get(f"/s/{link}", None).status_code == 200
print(1000 * (time.process_time() - start))
"""
"""A process of its own, so that nothing has been imported for pictures before."""


def page_measures() -> list[Measure]:
    """Return what the page takes; the costing is stored before."""
    kept = Keeping(create_app())
    scenario = kept.stored(demo_document())
    link = kept.link(scenario)
    address = f"/s/{link}"
    size = len(kept.get(address, None).content)

    def anew() -> None:
        ASKED.forget()
        kept.get(address, None)

    def what_if() -> None:
        kept.get(f"{address}?set.hay.price_per_ton=131", None)

    first = subprocess.run(  # noqa: S603 - this interpreter, our own text
        [sys.executable, "-c", FIRST], capture_output=True, text=True, check=True
    )
    return [
        Measure("page from a stored costing", least(lambda: kept.get(address, None)), "ms", 120),
        Measure("the same, questions asked and pictures drawn anew", least(anew, ROUNDS), "ms"),
        Measure("the first page after start", float(first.stdout), "ms", 900),
        Measure("page of a what-if, costed", least(what_if, ROUNDS), "ms"),
        Measure("page, size", size / 1000, "kB", 200),
    ]
