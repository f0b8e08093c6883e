"""The table of numbers, the presets and the faults of settings."""

import json
from dataclasses import fields, replace
from importlib.resources import files

import pytest

from service.weather.parameters import MARKS, Numbers, parameters
from service.weather.presets import presets, settings_faults
from service.weather.settings import WeatherSettings

USUAL = WeatherSettings()
SHOWN = presets()
ROWS = [
    *SHOWN["parameters"],
    *SHOWN["drainage"],
    *(preset for setting in SHOWN["settings"] for preset in setting["presets"]),
]


def test_every_number_of_the_method_stands_in_the_table():
    assert {row["name"] for row in SHOWN["parameters"]} == {field.name for field in fields(Numbers)}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["name"]))
def test_every_row_says_what_it_is_and_where_it_comes_from(row):
    assert row["meaning"].endswith(".")
    assert row["mark"] in MARKS
    if row["mark"] == "own choice":
        assert row["note"]
    else:
        assert row["source"]


@pytest.mark.parametrize("row", SHOWN["parameters"], ids=lambda row: str(row["name"]))
def test_every_number_has_a_unit(row):
    assert row["unit"]


def test_the_catalogue_is_json_without_infinities():
    text = json.dumps(SHOWN, allow_nan=False)
    assert json.loads(text) == SHOWN


def test_the_table_is_a_file_of_the_package():
    assert files("service.weather").joinpath("parameters.toml").is_file()


def test_presets_are_within_the_limits_and_the_usual_value_is_one_of_them():
    table = parameters()
    for setting in SHOWN["settings"]:
        values = [preset["value"] for preset in setting["presets"]]
        assert setting["usual"] in values
        assert all(setting["least"] <= value <= setting["most"] for value in values)
        assert tuple(values) == table.presets[setting["input"].removeprefix("thresholds.")]
    assert [row["name"] for row in SHOWN["drainage"] if row["usual"]] == [USUAL.drainage]


def test_published_thresholds_are_those_of_the_index_in_fahrenheit():
    # Molnau and Bissell 1983 as given in US Geological Survey Techniques and Methods 6-A31: 56, 83;
    # 100 and 150 °F day are the same to 1 %
    lowest, lower, upper = parameters().presets["frozen_index"]
    assert lowest < lower
    assert lower * 1.8 == pytest.approx(100, rel=0.01)
    assert upper * 1.8 == pytest.approx(150, rel=0.01)


def test_each_drainage_class_of_the_soil_survey_is_in_one_class():
    # USDA Soil Survey Manual, chapter 3: seven natural drainage classes (from memory)
    named = [name for row in SHOWN["drainage"] for name in row["soil_survey_classes"]]
    assert sorted(named) == [
        "excessively drained",
        "moderately well drained",
        "poorly drained",
        "somewhat excessively drained",
        "somewhat poorly drained",
        "very poorly drained",
        "well drained",
    ]


def test_a_deficit_threshold_lies_below_what_can_evaporate():
    assert parameters().limits["mud_deficit_mm"].most < parameters().numbers.evaporable_mm


def test_usual_settings_have_no_fault():
    assert settings_faults(USUAL) == []


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"drainage": "wel"}, "drainage"),
        ({"first_day": "11-31"}, "window.first_day"),
        ({"first_day": "02-29"}, "window.first_day"),
        ({"first_day": "1-1"}, "window.first_day"),
        ({"first_day": "११-०१"}, "window.first_day"),
        ({"last_day": "2019-04-15"}, "window.last_day"),
        ({"last_day": ""}, "window.last_day"),
        ({"last_day": "11-29"}, "window.last_day"),
        ({"last_day": "10-31"}, "window.last_day"),
        ({"frozen_index": 0.9}, "thresholds.frozen_index"),
        ({"frozen_index": 301.0}, "thresholds.frozen_index"),
        ({"frozen_index": float("nan")}, "thresholds.frozen_index"),
        ({"mud_deficit_mm": -0.1}, "thresholds.mud_deficit_mm"),
        ({"mud_deficit_mm": 19.1}, "thresholds.mud_deficit_mm"),
        ({"mud_deficit_mm": float("inf")}, "thresholds.mud_deficit_mm"),
    ],
)
def test_a_setting_that_cannot_be_used_is_told_with_what_is_allowed(changed, place):
    (fault,) = settings_faults(replace(USUAL, **changed))
    assert fault.input == place
    assert fault.allowed
    json.dumps(fault.received, allow_nan=False)


@pytest.mark.parametrize(
    ("first_day", "last_day"),
    [("11-01", "11-30"), ("01-01", "10-27"), ("05-01", "10-15"), ("12-01", "02-28")],
)
def test_winters_of_30_to_300_days_are_taken_wherever_they_lie(first_day, last_day):
    assert settings_faults(replace(USUAL, first_day=first_day, last_day=last_day)) == []


def test_all_faults_come_at_once():
    wrong = WeatherSettings("x", "y", "z", -1, -1)
    assert [fault.input for fault in settings_faults(wrong)] == [
        "drainage",
        "window.first_day",
        "window.last_day",
        "thresholds.frozen_index",
        "thresholds.mud_deficit_mm",
    ]


def test_a_misspelt_drainage_class_is_guessed():
    assert settings_faults(replace(USUAL, drainage="modrate"))[0].suggestion == "moderate"
