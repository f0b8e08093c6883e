"""Pictures taken apart for tests, and what they are drawn from."""

import re
from copy import deepcopy
from functools import cache
from typing import Any
from xml.etree import ElementTree as ET

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.reports.pictures import picture
from service.web.reading import scenario_of

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@cache
def _demo() -> dict[str, Any]:
    return costed(demo_document())


def demo() -> dict[str, Any]:
    """Return the costing of the demo farm, to be changed as a test likes."""
    return deepcopy(_demo())


def costed(document: dict[str, Any]) -> dict[str, Any]:
    """Return the costing of a document."""
    return costing_document(cost(scenario_of(document)), given=document)


def system_of(body, key):
    return next(item for item in body["systems"] if item["system"] == key)


def along_hay_price(body) -> dict[str, Any]:
    """Return made-up straight lines of three systems; they cross at 100 and at 150."""
    del body
    return {
        "prices": [50, 100, 150, 200],
        "costs": {
            "lot_open_rings": [20_000, 30_000, 40_000, 50_000],
            "grass_first": [25_000, 30_000, 35_000, 40_000],
            "rock_pad": [35_000, 37_500, 40_000, 42_500],
        },
        "crossings": [
            {"value": 100, "cost": 30_000, "systems": ["lot_open_rings", "grass_first"]},
            {"value": 150.0, "cost": 40_000, "systems": ["lot_open_rings", "rock_pad"]},
        ],
    }


def swinging() -> dict[str, Any]:
    """Return a made-up answer of what inputs do."""
    rows = [
        {
            "input": f"assumptions.hay_waste.ring_{number}",
            "meaning": f"Hay not eaten {number}.",
            "unit": "fraction",
            "low": 0.045,
            "base": 0.12,
            "high": 0.16,
            "at_low": 31_000 - 900 * (10 - number),
            "at_high": 31_000 + 1_100 * (10 - number),
            "changes_best": number == 1,
        }
        for number in range(10)
    ]
    return {"system": "lot_better_feeders", "unit": "USD/year", "base": 31_000, "rows": rows}


def more_for(name, body) -> dict[str, Any]:
    """Return what a picture needs beside a costing."""
    return {
        "cost_against_hay_price": along_hay_price(body),
        "swings": swinging(),
        "cash_by_year": {"system": "roofed_pad"},
    }.get(name, {})


class Seen:
    """A picture as it is read: texts with their places, shapes by how they are filled."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.root = ET.fromstring(text)  # noqa: S314 - drawn by the project
        self.title = self.root[0].text
        self.told = self.root[1].text
        self.texts = [item.text for item in self.root.iter(f"{SVG}text")]
        self.fills = {
            item.get("id"): (item[0].get("fill"), " ".join(item[1].get("d").split()[:6]))
            for item in self.root.iter(f"{SVG}pattern")
        }

    def height(self) -> float:
        """Return how high the picture is."""
        return float(self.root.get("viewBox").split()[-1])

    def words(self) -> str:
        """Return all words that are drawn, in one line."""
        return " ".join(self.texts)

    def boxes(self, fill, *, hatched=False):
        """Return left, top, width and height of each drawn rectangle of a shade."""
        found = []
        for item in self.root.iter(f"{SVG}path"):
            if self._fill_of(item) == (fill, hatched):
                found += [_box(part) for part in item.get("d").split("M ")[1:]]
        return found

    def _fill_of(self, item):
        fill = item.get("fill", "#000000")
        if fill.startswith("url(#"):
            return self.fills[fill[5:-1]][0], True
        return fill, False

    def marks(self, shade):
        """Return the places of the markers of a shade."""
        return [
            (float(item.get("x")), float(item.get("y")))
            for group in self.root.iter(f"{SVG}g")
            for item in group.findall(f"{SVG}use")
            if item.get("fill", group.get("fill")) == shade
        ]


def _box(path):
    numbers = [float(number) for number in NUMBER.findall(path)]
    across, down = numbers[::2], numbers[1::2]
    return min(across), min(down), max(across) - min(across), max(down) - min(down)


def seen(name, body=None, more=None) -> Seen:
    """Draw a picture and take it apart."""
    body = demo() if body is None else body
    return Seen(picture(name, body, more_for(name, body) if more is None else more))
