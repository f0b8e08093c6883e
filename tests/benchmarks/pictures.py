"""Pictures of the demo: the first with the import of its library, and each of them afterwards."""

import json
import subprocess
import sys

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.reports.pictures import PICTURES, picture
from service.web.reading import scenario_of
from tests.benchmarks.measure import Measure, least

ROUNDS = 10
STARTS = 3
MOST_FIRST, MOST_LATER = 700, 120
FIRST = """
import json, sys, time
import numpy
from service.reports.pictures import picture
body = json.load(sys.stdin)
start = time.process_time()
picture("cost_by_group", body)
print((time.process_time() - start) * 1e3)
"""


def picture_measures() -> list[Measure]:
    """Measure the first picture of a process, and later ones."""
    document = demo_document()
    body = costing_document(cost(scenario_of(document)), given=document)
    text = json.dumps(body)
    firsts = [
        float(
            subprocess.run(  # noqa: S603 - the interpreter that measures
                [sys.executable, "-c", FIRST],
                input=text,
                capture_output=True,
                check=True,
                text=True,
            ).stdout
        )
        for _ in range(STARTS)
    ]
    measures = [Measure("first picture, with its library's import", min(firsts), "ms", MOST_FIRST)]
    for name in PICTURES:
        more = _more_for(name, body)
        spent = least(lambda name=name, more=more: picture(name, body, more), ROUNDS)
        measures.append(Measure(f"picture {name}", spent, "ms", MOST_LATER))
    return measures


def _more_for(name: str, body: dict) -> dict:
    """Return what a picture needs beside a costing; numbers of the usual count, made up."""
    prices = [40 + 10 * step for step in range(21)]
    costs = {
        item["system"]: [item["annual_equivalent_cost"] + 200 * price for price in prices]
        for item in body["systems"]
    }
    row = {
        "input": "hay.price_per_ton",
        "meaning": "Price of hay over the years looked at.",
        "unit": "USD/ton",
        "low": 70,
        "high": 150,
        "at_low": 25_000,
        "at_high": 44_000,
    }
    return {
        "cost_against_hay_price": {"prices": prices, "costs": costs, "crossings": []},
        "swings": {"base": 31_000, "rows": [row] * 8},
        "cash_by_year": {"system": "roofed_pad"},
    }.get(name, {})
