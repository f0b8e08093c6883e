"""Herd size questions that cannot be answered, and what is said of them."""

import pytest

from service.analysis.herd_size import herd_size
from service.analysis.questions import Axis, HerdSize
from service.costing.errors import InputError
from tests.analysis.hand_farm import LOT, asked_of, hand_farm
from tests.analysis.herd_sizes import ACRES, COWS, ask


def faults_of(document, **question):
    """Return the faults of a question, by the input that they are about."""
    with pytest.raises(InputError) as caught:
        ask(document, **question)
    return {fault.input: fault for fault in caught.value.faults}


def test_every_fault_is_told_at_once():
    found = faults_of(hand_farm(), system="gras", values=[0, 40, 40], acres=[1])
    assert found.keys() == {"system", "head.values"}
    assert found["system"].suggestion == "grass"


def test_an_axis_of_head_must_be_the_head_of_a_group():
    fault = faults_of(hand_farm(), path="herd.cow.head")["head.input"]
    assert fault.suggestion == COWS
    assert fault.allowed == COWS


@pytest.mark.parametrize("values", [[0.5], [20_001], [float("nan")], [40, 40], []])
def test_values_of_head_are_in_range_and_each_given_once(values):
    assert "head.values" in faults_of(hand_farm(), values=values)


def test_no_animals_left_is_a_fault():
    document = hand_farm(
        {"systems": {"grass": {"herd_change": {"cows": {"head": -10, "price_per_head": 1500}}}}}
    )
    path = "systems.grass.herd_change.cows.head"
    assert faults_of(document, values=[-40], path=path)["head.values"].allowed == "more than -40"
    assert faults_of(document, values=[9])["head.values"].allowed == "more than 10"


def test_acres_without_a_stockpile_step_are_refused():
    assert (
        "leave acres out" in faults_of(hand_farm(), system="hay", acres=[1])["acres.input"].detail
    )


def test_acres_of_another_step_are_refused_with_the_nearest():
    question = HerdSize(
        system="grass",
        head=Axis(input=COWS, values=(40.0,)),
        acres=Axis(input="systems.grass.plan.stockpile.acres", values=(1.0,)),
    )
    with pytest.raises(InputError) as caught:
        herd_size(asked_of(hand_farm()), question)
    assert [fault.suggestion for fault in caught.value.faults] == [ACRES]


def test_no_more_acres_are_shut_than_other_steps_leave_of_the_field():
    document = hand_farm()
    first = document["systems"]["grass"]["plan"][0]
    document["systems"]["grass"]["plan"] = [first, first | {"key": "more", "acres": 300}, LOT]
    ask(document, values=[40], acres=[700])
    fault = faults_of(document, values=[40], acres=[701])["acres.values"]
    assert fault.allowed == "from 0 to 700"
    assert "acres.values" in faults_of(document, values=[40], acres=[-1])


def test_more_points_than_are_worked_at_once_are_refused():
    heads, acres = range(1, 42), range(10)
    assert faults_of(hand_farm(), values=heads, acres=acres)["head.values"].received == 410
    assert len(ask(hand_farm(), values=range(1, 41), acres=acres)["points"]) == 400


def test_what_animals_earn_must_be_known():
    document = hand_farm()
    del document["systems"]["hay"]["margin"]
    assert faults_of(document).keys() == {"return_per_head", "other_costs_per_head"}
    assert faults_of(document, return_per_head=800.0).keys() == {"other_costs_per_head"}
