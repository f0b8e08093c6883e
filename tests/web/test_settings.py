"""`set`: single inputs changed by their paths."""

import copy

import pytest

from service.costing.errors import InputError
from service.costing.overrides import MOST_SETTINGS, with_settings


def test_settings_change_the_copy_and_not_the_document(farm):
    before = copy.deepcopy(farm)
    changed = with_settings(
        farm,
        {
            "herd.cows.head": 70,
            "systems.bales_and_pad.plan.bale_grazing.bales_set_out": 90,
            "systems.bales_and_pad.plan.bale_grazing.ground_states": ["frozen", "firm"],
            "systems.bales_and_pad.structures.pad.cost_share.cap": 0,
            "systems.barn.structures.storage.cost_share.rate": 0.5,
            "assumptions.hay_waste.ring_open": 0.14,
            "assumptions.restoration.forage_loss.severe.2": 0.2,
            "finance.loan.rate": 0.07,
            "currency": "EUR",
        },
    )
    assert farm == before
    assert changed["herd"]["cows"]["head"] == 70
    pad = changed["systems"]["bales_and_pad"]
    assert pad["plan"][0]["bales_set_out"] == 90
    assert pad["plan"][0]["ground_states"] == ["frozen", "firm"]
    assert pad["plan"][1] == before["systems"]["bales_and_pad"]["plan"][1]
    assert pad["structures"]["pad"]["cost_share"] == {
        **before["systems"]["bales_and_pad"]["structures"]["pad"]["cost_share"],
        "cap": 0,
    }
    assert changed["systems"]["barn"]["structures"]["storage"]["cost_share"] == {"rate": 0.5}
    assert changed["assumptions"]["hay_waste.ring_open"] == 0.14
    assert changed["assumptions"]["restoration.forage_loss.severe.2"] == 0.2
    assert changed["finance"]["loan"] == {"rate": 0.07}
    assert changed["currency"] == "EUR"


def test_null_goes_back_to_the_default(farm):
    changed = with_settings(
        farm,
        {
            "assumptions.hay_waste.ring_open": None,
            "hay.bales_on_hand": None,
            "systems.bales_and_pad.structures.pad.cost_share": None,
            "supplement": None,
        },
    )
    assert "hay_waste.ring_open" not in changed["assumptions"]
    assert "bales_on_hand" not in changed["hay"]
    assert "cost_share" not in changed["systems"]["bales_and_pad"]["structures"]["pad"]


def test_a_second_step_of_a_method_is_called_by_its_number(farm):
    plan = farm["systems"]["rings"]["plan"]
    plan.append(copy.deepcopy(plan[0]))
    plan.append(copy.deepcopy(plan[0]) | {"key": "late"})
    changed = with_settings(
        farm,
        {
            "systems.rings.plan.sacrifice_lot_2.hours_on_method": 8,
            "systems.rings.plan.late.hours_on_method": 9,
        },
    )
    steps = changed["systems"]["rings"]["plan"]
    assert [step.get("hours_on_method") for step in steps] == [None, 8, 9]


def test_winter_rows_are_set_by_season(farms):
    farm = farms["worked_farm_rows"]
    season = farm["winter"]["rows"][2]["season"]
    changed = with_settings(farm, {f"winter.rows.{season}.rain_in": 20})
    assert changed["winter"]["rows"][2]["rain_in"] == 20


REFUSED = [
    # path, the nearest path that there is (None: none is near), words of the sentence
    ("herd.cow.head", "herd.cows.head", ("cows",)),
    ("herd.cows.hed", "herd.cows.head", ("head",)),
    ("hed.cows.head", "herd.cows.head", ("herd",)),
    (
        "systems.rings.plan.sacrifice.field",
        "systems.rings.plan.sacrifice_lot.field",
        ("sacrifice_lot",),
    ),
    ("systems.new_one.title", None, ("rings", "barn")),
    ("land.fields.hill.acres", "land.fields.hill_field.acres", ("hill_field",)),
    ("herd", "herd.cows", ("not one value",)),
    ("herd.cows", "herd.cows.animal", ("not one value",)),
    ("systems.rings.plan", "systems.rings.plan.sacrifice_lot", ("not one value",)),
    ("herd.cows.head.more", None, ("nothing inside",)),
    ("", "winter", ("empty path",)),
    (".", None, ("no",)),
]


@pytest.mark.parametrize(("path", "suggestion", "words"), REFUSED)
def test_a_path_that_leads_nowhere_names_the_nearest(farm, path, suggestion, words):
    with pytest.raises(InputError) as caught:
        with_settings(farm, {path: 1})
    (fault,) = caught.value.faults
    assert fault.input == path
    assert fault.suggestion == suggestion
    assert all(word in fault.detail for word in words)


def test_an_input_of_another_method_is_refused(farm):
    with pytest.raises(InputError) as caught:
        with_settings(farm, {"systems.rings.plan.sacrifice_lot.spacing_ft": 40})
    assert "no 'spacing_ft'" in caught.value.faults[0].detail


def test_a_required_record_is_not_dropped_whole(farm):
    with pytest.raises(InputError):
        with_settings(farm, {"hay": None})


def test_dropping_a_required_value_says_that_it_is_missing(call, farm):
    answer = call.cost(farm, {"hay.bale_weight_lb": None})
    (error,) = answer.json()["errors"]
    assert error["pointer"] == "/set/hay.bale_weight_lb"
    assert "missing" in error["detail"]


def test_a_path_inside_another_is_refused(farm):
    step = "systems.bales_and_pad.plan.bale_grazing.presentation"
    with pytest.raises(InputError) as caught:
        with_settings(farm, {step: {"cows": "bunk"}, f"{step}.cows": "bunk"})
    assert {fault.input for fault in caught.value.faults} == {f"{step}.cows"}


def test_the_same_path_twice_is_refused(call):
    body = '{"document": {}, "set": {"hay.price_per_ton": 90, "hay.price_per_ton": 91}}'
    answer = call.cost_raw(body)
    assert answer.status_code == 422
    assert "more than once" in answer.text


def test_more_settings_than_are_taken_are_refused(call, farm):
    settings = {f"assumptions.hay_waste.kind_{number}": 0.1 for number in range(MOST_SETTINGS + 1)}
    (error,) = call.cost(farm, settings).json()["errors"]
    assert error["pointer"] == "/set"
    assert error["allowed"] == f"at most {MOST_SETTINGS}"


def test_a_setting_gives_what_the_changed_document_gives(call, farm):
    by_setting = call.cost(farm, {"hay.price_per_ton": 140, "assumptions.hay_waste.bunk": 0.05})
    farm["hay"]["price_per_ton"] = 140
    farm["assumptions"]["hay_waste.bunk"] = 0.05
    by_document = call.cost(farm)
    assert by_setting.status_code == 200
    assert by_setting.content == by_document.content
