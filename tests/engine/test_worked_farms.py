"""Three farms worked end to end by an independent calculation (tests/data/worked_farms).

Their reference values are all in the documents and invented; what counts is that two calculations
built apart give the same money, days, bales, pounds and acres.
"""

import json
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from service.costing.engine import cost
from service.costing.result import costing_document
from service.costing.scenario import Scenario

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
NAMES = ("worked_farm", "worked_farm_edges", "worked_farm_rows")
RELATIVE = 5e-6
NOUGHT = 1e-9


def expected(name):
    answer = json.loads((FARMS / f"{name}_result.json").read_text())
    del answer["workings"]
    for system in answer["systems"]:
        del system["workings"]
        system["warnings"] = {
            (warning["warning"], warning.get("step") or warning.get("structure")): warning["value"]
            for warning in system["warnings"]
        }
    return answer


def document(name):
    return (FARMS / f"{name}.json").read_text()


def costed(text):
    scenario = TypeAdapter(Scenario).validate_json(text)
    answer = costing_document(cost(scenario), given=json.loads(text))
    for system in answer["systems"]:
        system["warnings"] = {
            (warning["warning"], warning.get("step") or warning.get("structure")): warning["value"]
            for warning in system["warnings"]
        }
    return answer


def differences(got, wanted, path=""):
    """Yield every place where a published value is missing or another one stands."""
    if isinstance(wanted, dict):
        for name, value in wanted.items():
            if not isinstance(got, dict) or name not in got:
                yield f"{path}.{name} is missing"
            else:
                yield from differences(got[name], value, f"{path}.{name}")
    elif isinstance(wanted, list):
        if len(got) != len(wanted):
            yield f"{path} has {len(got)} items, not {len(wanted)}"
        for position, (left, right) in enumerate(zip(got, wanted, strict=False)):
            yield from differences(left, right, f"{path}[{position}]")
    elif isinstance(wanted, int | float) and not isinstance(wanted, bool):
        if got != pytest.approx(wanted, rel=RELATIVE, abs=NOUGHT):
            yield f"{path} is {got}, not {wanted}"
    elif got != wanted:
        yield f"{path} is {got!r}, not {wanted!r}"


@pytest.mark.parametrize("name", NAMES)
def test_a_farm_worked_apart_comes_out_the_same_in_every_number(name):
    assert list(differences(costed(document(name)), expected(name))) == []


@pytest.mark.parametrize("name", NAMES)
def test_the_inputs_used_posted_back_give_the_same_key_and_the_same_numbers(name):
    first = costed(document(name))
    second = costed(json.dumps(first["inputs_used"]))
    assert second["content_key"] == first["content_key"]
    assert second["systems"] == first["systems"]
    assert set(second["origins"].values()) == {"given"}


def test_a_comparison_that_is_off_is_told():
    wanted = expected("worked_farm")
    wanted["systems"][0]["lines"][0]["by_year"][3] *= 1 + 2 * RELATIVE
    told = list(differences(costed(document("worked_farm")), wanted))
    assert [place.partition(" is")[0] for place in told] == [".systems[0].lines[0].by_year[3]"]
