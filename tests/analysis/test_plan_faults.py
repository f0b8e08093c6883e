"""What a search for plans refuses, every fault at once."""

import pytest

from service.costing.errors import InputError
from tests.analysis.plan_searches import farm, search


def faults(name="worked_farm", start_from="rings", **more):
    with pytest.raises(InputError) as refused:
        search(farm(name), start_from, **more)
    return {fault.input: fault for fault in refused.value.faults}


def test_a_system_that_there_is_not():
    fault = faults(start_from="ring")["start_from"]
    assert fault.suggestion == "rings"


@pytest.mark.parametrize(
    ("more", "path", "suggestion"),
    [
        ({"allow": {"methods": ("bale_grazin", "sacrifice_lot")}}, "allow.methods", "bale_grazing"),
        ({"allow": {"presentations": ("ring_opn",)}}, "allow.presentations", "ring_open"),
        ({"allow": {"structures": ("rooof",)}}, "allow.structures", "roof"),
    ],
)
def test_a_word_that_there_is_not(more, path, suggestion):
    assert faults(**more)[path].suggestion == suggestion


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ({"max_steps": 0}, "max_steps"),
        ({"max_steps": 5}, "max_steps"),
        ({"top": 0}, "top"),
        ({"top": 21}, "top"),
        ({"most_plans": 0}, "most_plans"),
        ({"most_plans": 200_001}, "most_plans"),
        ({"seed": -1}, "seed"),
        ({"seed": 1.5}, "seed"),
        ({"limits": {"labor_hours": -1}}, "limits.labor_hours"),
        ({"limits": {"acres_damaged": float("nan")}}, "limits.acres_damaged"),
        ({"allow": {"methods": ()}}, "allow.methods"),
        ({"allow": {"presentations": ()}}, "allow.presentations"),
    ],
)
def test_a_number_or_a_list_that_cannot_be(more, path):
    assert path in faults(**more)


def test_a_method_that_no_system_shows_says_what_is_missing():
    document = farm("worked_farm")
    del document["systems"]["bales_and_pad"]
    with pytest.raises(InputError) as refused:
        search(document, "rings", allow={"methods": ("bale_grazing", "sacrifice_lot")})
    [fault] = refused.value.faults
    for name in ("field", "bales_set_out", "spacing_ft"):
        assert f"systems.rings.plan.bale_grazing.{name}" in fault.detail


def test_a_way_of_feeding_whose_feeders_nobody_prices():
    found = faults(allow={"presentations": ("ring_cone", "ring_open")})
    assert "ring_cone" in found["allow.presentations"].detail


def test_a_structure_that_no_system_has():
    assert "roof" in faults(allow={"structures": ("roof",)})["allow.structures"].detail


def test_grass_alone_cannot_take_all_that_is_left():
    assert (
        "no plan can be made"
        in faults(allow={"methods": ("stockpile_grazing",)})["allow.methods"].detail
    )


def test_all_faults_are_told_at_once():
    found = faults(
        max_steps=9,
        limits={"money_up_front": -5},
        allow={"methods": ("grazing",), "structures": ("roof",)},
    )
    assert found.keys() == {
        "max_steps",
        "limits.money_up_front",
        "allow.methods",
        "allow.structures",
    }


def test_too_many_systems_leave_no_room_for_a_plan():
    document = farm("worked_farm")
    for number in range(36):
        document["systems"][f"more_{number}"] = document["systems"]["rings"]
    with pytest.raises(InputError, match="as many as are costed at once"):
        search(document, "rings")
