"""Every number at the edges of its range: costed with finite figures, or refused in words."""

import copy
import json
import math
import sys
from collections.abc import Iterator
from typing import Any

import pytest

from service.costing.engine import cost
from service.costing.entry import Entry
from service.costing.errors import InputError
from service.costing.input_tree import (
    NUMBER,
    Leaf,
    ListOf,
    MapOf,
    OneOf,
    Record,
    Shape,
    input_tree,
)
from service.costing.reference.keys import template_of
from service.costing.result import costing_document
from service.web.reading import scenario_of

Way = tuple[Any, ...]
LEAST = sys.float_info.min * sys.float_info.epsilon
"""The smallest number above zero."""


def _numbers(node: Any, shape: Shape, way: Way) -> Iterator[tuple[Way, Entry]]:
    """Every number that the document has or could have in the records it has."""
    if isinstance(shape, Leaf) and shape.sort == NUMBER:
        yield way, shape.entry
    for key, inner, inner_shape in _inside(node, shape):
        if way != ("assumptions",):
            yield from _numbers(inner, inner_shape, (*way, key))


def _inside(node: Any, shape: Shape) -> Iterator[tuple[Any, Any, Shape]]:
    if isinstance(shape, OneOf):
        shape = shape.choices[node[shape.field]]
    if isinstance(shape, Record):
        for name, member in shape.members.items():
            if isinstance(member.shape, Leaf) or node.get(name) is not None:
                yield name, node.get(name), member.shape
    elif isinstance(shape, MapOf | ListOf):
        for key, inner in node.items() if isinstance(shape, MapOf) else enumerate(node):
            yield key, inner, shape.items


def _edges(entry: Entry) -> list[float]:
    edges = [entry.ge, entry.le]
    if entry.gt is not None:
        edges += [max(LEAST, math.nextafter(entry.gt, math.inf)), entry.gt + 1e-9]
    if entry.lt is not None:
        edges.append(math.nextafter(entry.lt, -math.inf))
    if entry.whole and entry.le is not None:
        # As near to a whole number as counts for one.
        edges.append(entry.le * (1 - 1e-10))
    return [edge for edge in edges if edge is not None and (not entry.whole or edge > LEAST)]


def _endless(node: Any, path: str = "") -> Iterator[str]:
    if isinstance(node, dict):
        for name, inner in node.items():
            yield from _endless(inner, f"{path}.{name}")
    elif isinstance(node, list):
        for position, inner in enumerate(node):
            yield from _endless(inner, f"{path}[{position}]")
    elif isinstance(node, float) and not math.isfinite(node):
        yield path


def _wrong(document: dict[str, Any]) -> str:
    """Cost a document; say what went wrong other than a refusal in words."""
    try:
        found = costing_document(cost(scenario_of(document)), given=document)
    except InputError as error:
        return "" if error.faults else "refused without a word"
    except Exception as error:  # noqa: BLE001 - whatever it is, it is to be listed
        return repr(error)
    json.dumps(found, allow_nan=False, default=float)
    return ", ".join(_endless(found))


PLAIN = {"worked_farm": "bales_and_pad", "worked_farm_rows": "by_the_ground"}
"""The system that is costed beside the baseline, to save time."""

ELSEWHERE = ("machines", "supplement", "winter", "animal_losses")
"""Parts that only the farm with rows has in full."""


def _keep_only(document: dict[str, Any], key: str) -> None:
    kept = {key, document["baseline"]}
    document["systems"] = {name: document["systems"][name] for name in kept}


@pytest.mark.parametrize(
    ("name", "parts"), [("worked_farm", ()), ("worked_farm_rows", ELSEWHERE)], ids=["one", "rows"]
)
def test_the_edges_of_every_range_are_costed_or_refused_in_words(farms, name, parts):
    wrong: dict[str, str] = {}
    for way, entry in _numbers(farms[name], input_tree(), ()):
        for edge in _edges(entry) if not parts or way[0] in parts else ():
            document = copy.deepcopy(farms[name])
            _keep_only(document, way[1] if way[0] == "systems" else PLAIN[name])
            node: Any = document
            for key in way[:-1]:
                node = node[key]
            node[way[-1]] = edge
            said = _wrong(document)
            if said:
                wrong[f"{'.'.join(map(str, way))} = {edge}"] = said
    assert wrong == {}


def test_the_edges_of_reference_values_are_costed_or_refused_in_words(farm):
    wrong: dict[str, str] = {}
    _keep_only(farm, PLAIN["worked_farm"])
    keys = enumerate(list(farm["assumptions"]))
    for key in [key for number, key in keys if number % 2 or key.endswith(".per")]:
        template = template_of(key)
        assert template is not None
        values = (template.minimum, template.maximum) if template.words is None else template.words
        for value in values:
            document = copy.deepcopy(farm)
            document["assumptions"][key] = value
            said = "" if value is None else _wrong(document)
            if said:
                wrong[f"{key} = {value}"] = said
    assert wrong == {}
