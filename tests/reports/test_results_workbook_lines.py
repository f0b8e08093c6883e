"""Whether the formulas that a line is said to be worked by are those that the engine applies."""

from functools import cache
from typing import get_args

import pytest

from service.costing.charges import Kind
from service.costing.engine import cost
from service.costing.formula import SIGNATURES
from service.costing.lines import LINES
from service.costing.workings import workings_of
from service.demo import demo_document
from service.reports.results_workbook.line_workings import (
    KINDS,
    LINE_FORMULAS,
    MACHINE_RATES,
    OF_ALL_LINES,
    steps_of,
)
from service.web.reading import scenario_of
from service.web.workings_part import _part
from tests.support.situations import cows, ewes, farm, hay

POOR = {
    "hay": hay(tdn_fraction=0.45, crude_protein_fraction=0.06),
    "herd": {"cows": cows() | {"birth_starts": "01-10"}, "ewes": ewes()},
    "supplement": {
        "price_per_ton": 300.0,
        "dry_matter_fraction": 0.9,
        "tdn_fraction": 0.8,
        "crude_protein_fraction": 0.4,
    },
    "animal_losses": {
        "cows": {
            "condition_value_per_lb": 1.0,
            "young_lost_per_head_mud_day": 0.0001,
            "value_per_young": 900.0,
            "foot_cost_per_head_mud_day": 0.05,
        }
    },
}
"""Hay too poor to do without a supplement, and losses of animals counted."""


@cache
def applied():
    """Return the names of the formulas behind each line, over three farms."""
    names = {line: set() for line in LINES}
    for document in (demo_document(), farm(), farm(**POOR)):
        costing = cost(scenario_of(document), workings=True)
        whole = workings_of(costing)
        for line in LINES:
            part = _part(whole, tuple(costing.systems), line)
            names[line] |= {figure["formula"] for figure in part["figures"] if "formula" in figure}
    return names


@pytest.mark.parametrize("line", LINES)
def test_a_line_is_worked_by_the_formulas_that_are_named(line):
    named = {SIGNATURES[formula].name for formula in LINE_FORMULAS[line]}
    assert named
    assert named <= applied()[line]


def test_all_lines_end_alike():
    for names in applied().values():
        assert {SIGNATURES[formula].name for formula in OF_ALL_LINES} <= names


def test_machines_of_the_farm_are_priced_by_the_formulas_that_are_named():
    named = {SIGNATURES[formula].name for formula in MACHINE_RATES}
    assert named <= applied()["machinery"]


def test_every_line_and_kind_of_money_is_told():
    assert list(LINE_FORMULAS) == list(LINES)
    assert tuple(KINDS) == get_args(Kind)


def test_steps_say_what_they_give_and_how():
    (step, *_) = steps_of(LINE_FORMULAS["labor"])
    assert (step.gives, step.words) == ("Task minutes", "driver x minutes each")
