"""What is worked for many values at once comes to what a run of its own does for each.

Every number that the demo or three other farms use is changed in the smallest farm that has it, and
what systems have in the largest too; of what several steps or structures of one kind have, one.
Those that cannot be varied on the draw axis are named.
"""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from service.analysis.draws import drawn
from service.analysis.input_runs import scenario_with
from service.analysis.inputs import allowed_at, is_number, known_of
from service.costing.draw_axis import fits_draw_axis
from service.costing.errors import InputError
from service.demo import demo_document
from tests.analysis.two_systems import subject_of

SAME = 1e-9
TOGETHER = 40
FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
DOCUMENTS = {
    name: json.loads((FARMS / f"{name}.json").read_text("utf-8"))
    for name in ("worked_farm", "worked_farm_edges", "worked_farm_rows")
} | {"demo": demo_document()}
"""From the smallest to the largest."""
LEAST = {"worked_farm": 250, "worked_farm_edges": 60, "worked_farm_rows": 80, "demo": 100}
"""Inputs that must come to be compared, lest a change of the farms empty the test."""

NOT_TOGETHER = {
    "assumptions.stockpile.tdn_fraction",
    "finance.horizon_years",
    "hay.tdn_fraction",
    "birth_season_days",
    "hours_on_method",
    "min_spell_days",
}


def another(value, allowed, number):
    """Return another value of an input, more and less in turn, or None if there is none."""
    more = number % 2 == 0
    if allowed.whole:
        wanted = value + (1 if more else -1)
    else:
        wanted = value * (1.35 if more else 0.7) if value else 0.01
    found = allowed.clipped(wanted)
    if found == value:
        found = allowed.clipped(value - 1 if allowed.whole else value * 0.8)
    return None if found == value else float(found)


@cache
def known_farm(name):
    return known_of(subject_of(DOCUMENTS[name]))


def sort_of(path, known):
    """Return what several inputs have in common: the pattern of their path, and method or kind."""
    place = path.rpartition(".")[0]
    word = known.values.get(f"{place}.method", known.values.get(f"{place}.kind"))
    return allowed_at(path, known.values).pattern, word


@cache
def plan():
    """Return which numbers are changed in which farm."""
    farms = {}
    for name in DOCUMENTS:
        known = known_farm(name)
        for path, value in known.values.items():
            allowed = allowed_at(path, known.values)
            if is_number(value) and allowed is not None and allowed.is_number:
                farms.setdefault(sort_of(path, known), {}).setdefault(name, path)
    chosen = {name: [] for name in DOCUMENTS}
    for (pattern, _), paths in farms.items():
        first, last = next(iter(paths)), next(reversed(paths))
        for name in {first, last if pattern.startswith("systems.") else first}:
            chosen[name].append(paths[name])
    return chosen


def changes(name):
    """Return another value of the numbers that are changed in a farm."""
    known = known_farm(name)
    found = {}
    for number, path in enumerate(plan()[name]):
        changed = another(float(known.values[path]), allowed_at(path, known.values), number)
        if changed is not None:
            found[path] = changed
    return found


def system_of(path, systems):
    """Return the system that an input belongs to, all if it belongs to none."""
    return next(([key] for key in systems if path.startswith(f"systems.{key}.")), systems)


def run_alone(subject, path, value, systems):
    """Return what a run of its own comes to, None if the scenario cannot be costed so."""
    try:
        return drawn(scenario_with(subject, path, value), {}, systems)
    except InputError:
        return None


@pytest.mark.parametrize("name", DOCUMENTS)
def test_many_values_at_once_come_to_what_a_run_of_each_does(name):
    subject = subject_of(DOCUMENTS[name])
    known = known_farm(name)
    systems = list(known.costing.systems)
    fitting = {path: value for path, value in changes(name).items() if fits_draw_axis(path)}
    alone = {
        path: run
        for path, value in fitting.items()
        if (run := run_alone(subject, path, value, system_of(path, systems)))
    }
    paths = list(alone)
    different = []
    for start in range(0, len(paths), TOGETHER):
        part = paths[start : start + TOGETHER]
        varied = {}
        for place, path in enumerate(part):
            varied[path] = np.full(len(part), float(known.values[path]))
            varied[path][place] = fitting[path]
        together = drawn(subject.scenario, varied)
        for place, path in enumerate(part):
            own = [systems.index(key) for key in alone[path].systems]
            for found in ("scores", "costs", "short"):
                left = getattr(together, found)[own, place]
                right = getattr(alone[path], found)[:, 0]
                if not np.allclose(left, right, rtol=SAME, atol=0):
                    different.append((path, found))
    assert different == []
    assert len(alone) >= LEAST[name]


def test_a_floor_of_several_steps_is_sized_by_the_larger_share_in_each_draw():
    # the other step on the same floor takes 0.3 of the cows: above and below it
    subject = subject_of(DOCUMENTS["worked_farm_edges"])
    path = "systems.shed_and_slab.plan.shed.share_of_herd"
    shares = [0.2, 0.29, 0.31, 0.6]
    together = drawn(subject.scenario, {path: np.array(shares)}, ["shed_and_slab"])
    alone = [run_alone(subject, path, share, ["shed_and_slab"]) for share in shares]
    assert together.costs[0] == pytest.approx([run.costs[0, 0] for run in alone], rel=SAME)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_what_does_not_fit_is_named(name):
    known = known_farm(name)
    for path in known.values:
        named = path in NOT_TOGETHER or path.rpartition(".")[2] in NOT_TOGETHER
        assert fits_draw_axis(path) != (named or path.startswith("winter.")), path


@pytest.mark.parametrize(
    "path", ["hay.tdn_fraction", "assumptions.stockpile.tdn_fraction", "finance.horizon_years"]
)
def test_what_does_not_fit_would_come_out_wrong(path):
    # else it had better be taken off the list
    subject = subject_of(DOCUMENTS["demo"])
    base = known_farm("demo").values[path]
    value = base * 1.2 if "tdn" in path else base + 5
    alone = drawn(scenario_with(subject, path, value), {})
    try:
        together = drawn(subject.scenario, {path: np.array([*[base] * TOGETHER, value])})
    except (TypeError, ValueError):
        return
    assert not np.allclose(together.costs[:, -1:], alone.costs, rtol=SAME, atol=0)
