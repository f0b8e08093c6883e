"""Answers that cannot be: all faults at once, each with its place and what is allowed."""

import pytest

from service.costing.errors import InputError
from service.quick_start import answers_from_text, filled
from service.web.reading import scenario_of


def faults_of(answers):
    """Return the faults by place."""
    with pytest.raises(InputError) as refused:
        filled(answers, scenario_of)
    return {fault.input: fault for fault in refused.value.faults}


def test_all_faults_are_told_at_once():
    found = faults_of(
        {
            "animls": {},
            "animals": {"cows": -1, "ews": 3, "bulls": 2.5},
            "season": {"hay_starts": "13-40"},
            "hay": {"bale_size": "round_5x7", "price_per_bale": "45"},
            "work": {"minutes": True},
        }
    )
    assert set(found) == {
        "answers.animls",
        "answers.animals.cows",
        "answers.animals.ews",
        "answers.animals.bulls",
        "answers.season.hay_starts",
        "answers.hay.bale_size",
        "answers.hay.price_per_bale",
        "answers.work.minutes",
    }
    assert found["answers.animls"].suggestion == "animals"
    assert found["answers.animals.ews"].suggestion == "ewes"
    assert found["answers.hay.bale_size"].suggestion == "round_5x6"
    assert found["answers.animals.cows"].allowed == "at least 0, at most 20,000, a whole number"
    assert found["answers.animals.cows"].unit == "head"


def test_faults_between_answers_come_out_with_those_of_single_ones():
    found = faults_of(
        {
            "animals": {"cows": -1},
            "season": {"hay_starts": "04-10", "grass_takes_over": "04-01"},
            "ground": {"frozen": 4, "snow": 4, "firm": 4},
            "work": {"minutes": 90, "worst_minutes": 30},
            "land": {"fields": [{"acres": 10}], "spare_acres": 12},
        }
    )
    assert set(found) == {
        "answers.animals.cows",
        "answers.season.grass_takes_over",
        "answers.ground",
        "answers.work.worst_minutes",
        "answers.land.spare_acres",
    }
    assert "4 frozen + 4 snow + 4 firm make 12 days" in found["answers.ground"].detail


def test_four_small_numbers_must_add_to_ten():
    short = {"ground": {"frozen": 1, "snow": 1, "firm": 3, "soft": 4}}
    assert "make 9 days" in faults_of(short)["answers.ground"].detail


def test_a_farm_without_animals_is_refused():
    kinds = ("cows", "first_calf_heifers", "weaned_calves", "bulls", "ewes", "rams")
    assert "answers.animals" in faults_of({"animals": dict.fromkeys(kinds, 0)})


@pytest.mark.parametrize("number", [float("nan"), float("inf"), "12", "1,5", [], {}])
def test_what_is_no_number_is_refused(number):
    found = faults_of({"animals": {"cows": number}})
    assert "is no number" in found["answers.animals.cows"].detail


def test_a_comma_for_a_decimal_point_is_told():
    found = faults_of({"land": {"spare_acres": "1,5"}})
    assert "use a decimal point" in found["answers.land.spare_acres"].detail


@pytest.mark.parametrize("answers", [[], "forty cows", 7])
def test_what_is_no_map_is_refused(answers):
    assert "answers" in faults_of(answers)
    assert "answers.animals" in faults_of({"animals": answers})


def test_no_more_than_four_fields_and_faults_name_the_field():
    assert "answers.land.fields" in faults_of({"land": {"fields": [{"acres": 1}] * 5}})
    assert "answers.land.fields" in faults_of({"land": {"fields": {"acres": 1}}})
    found = faults_of({"land": {"fields": [{"acres": 1}, {"acres": 0, "drain": "well"}]}})
    assert set(found) == {"answers.land.fields.2.acres", "answers.land.fields.2.drain"}
    assert found["answers.land.fields.2.drain"].suggestion == "drains"


def test_rows_of_fields_that_are_left_open_are_no_fields():
    blank = {"acres": None, "drains": None}
    found = filled({"land": {"fields": [None, blank, {"acres": 7}]}}, scenario_of)
    assert [field["acres"] for field in found.document["land"]["fields"].values()] == [7]


def test_a_choice_may_be_written_in_its_words():
    found = filled({"hay": {"kept": "on rock"}, "wishes": {"better": "less time"}}, scenario_of)
    assert found.document["hay"]["storage"] == "gravel_uncovered"
    assert found.order == [{"wish": "less_time", "figure": "quantities.minutes.ordinary_day"}]


def test_two_wishes_are_enough():
    three = ["less_money", "less_time", "less_mud"]
    assert "answers.wishes.better" in faults_of({"wishes": {"better": three}})
    assert "answers.wishes.better" in faults_of({"wishes": {"better": 3}})


@pytest.mark.parametrize("day", ["12-01", "2026-12-01", "Dec 1", "1 Dec", "December 1", " 12-01 "])
def test_a_day_may_be_written_in_several_ways(day):
    found = filled({"season": {"hay_starts": day}}, scenario_of)
    assert found.document["winter"]["first_day"] == "12-01"


def test_a_leap_day_is_the_day_before():
    found = filled({"season": {"hay_starts": "Feb 29"}}, scenario_of)
    assert found.document["winter"]["first_day"] == "02-28"


def test_names_of_fields_are_kept_as_text_and_made_keys():
    names = ["=1+1", "<b>Hill</b>", "7 acres", "Hill"]
    fields = [{"name": name, "acres": 5} for name in names]
    found = filled({"land": {"fields": fields}}, scenario_of).document["land"]["fields"]
    assert [field["title"] for field in found.values()] == names
    assert list(found) == ["field_1", "b_hill_b", "field_3", "hill"]
    assert "answers.land.fields.1.name" in faults_of({"land": {"fields": [{"name": "x" * 4_000}]}})


def test_a_form_and_a_keyboard_send_texts():
    typed = {
        "animals.cows": "1,200",
        "animals.ewes": "not sure",
        "hay.price_per_bale": "$52.50",
        "season.hay_starts": "Dec 1",
        "wishes.better": "less_time, less_mud",
        "land.fields.10.acres": "7",
        "land.fields.2.acres": "40",
        "land.fields.2.drains": "well",
    }
    answers = answers_from_text(typed)
    assert answers["animals"] == {"cows": 1_200, "ewes": None}
    assert answers["hay"]["price_per_bale"] == 52.5
    assert answers["wishes"]["better"] == ["less_time", "less_mud"]
    assert answers["land"]["fields"] == [{"acres": 40, "drains": "well"}, {"acres": 7}]
    assert filled(answers, scenario_of).document["herd"]["cows"]["head"] == 1_200


def test_what_was_typed_wrong_is_told_with_the_rest():
    typed = {
        "animals.cows": "forty",
        "animals.cow": "3",
        "hay.price_per_bale": "1,5",
        "land.fields.1.acre": "2",
        "weather.rain": "4",
    }
    assert set(faults_of(answers_from_text(typed))) == {
        "answers.animals.cows",
        "answers.animals.cow",
        "answers.hay.price_per_bale",
        "answers.land.fields.1.acre",
        "answers.weather",
    }


def test_a_field_told_as_a_text_gives_way_to_one_told_by_its_parts():
    told = answers_from_text({"land.fields": "x", "land.fields.1.acres": "7"})
    assert told == {"land": {"fields": [{"acres": 7.0}]}}
