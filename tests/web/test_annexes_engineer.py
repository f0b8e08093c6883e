"""The engineer's annex: its numbers against the costing and against arithmetic by hand."""

import pytest

from service.demo import demo_document
from service.season.planning import planned, planning
from service.web.annexes.planning import taken
from tests.web.annexed import annex, costed, demo_annex, item, items, value

ROOFED, ROCK, GROUND = "roofed_pad", "rock_pad", "by_the_ground"

# Demo herd, 1,000 lb to an animal unit (definition): head x lb.
CATTLE_AU = {"Cows": 62 * 1.26, "Bred heifers": 9 * 1.04, "Replacement heifers": 13 * 0.61}
BULLS_AU = 3 * 1.85


@pytest.fixture(scope="module")
def systems():
    return costed(demo_document())


def test_animals_are_those_of_the_farm():
    found = demo_annex("engineer", ROOFED)
    assert value(found, "animals", "head", "Cows") == 62
    assert item(found, "animals", "head", "Cows")["origin"] == "given"
    for group, units in CATTLE_AU.items():
        assert value(found, "animals", "animal_units", group) == pytest.approx(units)


def test_days_by_month_are_those_of_the_calendar():
    # 1 December to 10 April of a year of 365 days: 31 + 31 + 28 + 31 + 10 = 131 by the calendar.
    found = demo_annex("engineer", ROOFED)
    assert value(found, "pens", "days_by_month") == "Dec 31, Jan 31, Feb 28, Mar 31, Apr 10"


def test_days_by_month_are_not_known_where_only_some_days_are_confined():
    found = demo_annex("engineer", GROUND)
    told = [one for one in items(found, "pens") if one["line"] == "days_by_month"]
    assert [one["origin"] for one in told] == ["worked", "not_known"]
    assert told[0]["about"] == "Ewes and Rams"
    days = value(found, "animals", "days_confined", "Cows")
    assert 0 < days < value(found, "animals", "days_confined", "Ewes") == 131.25


def test_days_confined_are_those_that_the_pad_serves(systems):
    pad = systems[GROUND]["quantities"]["served_days"]["pad"]
    found = value(demo_annex("engineer", GROUND), "animals", "days_confined", "Cows")
    assert found == pytest.approx(sum(pad.values()))


def test_reference_values_have_range_source_and_mark():
    # 60 sq ft a head on an open concrete lot: Iowa Beef Center, as cited in the edition.
    found = item(demo_annex("engineer", ROOFED), "rules", "room", "Cows")
    assert (found["value"], found["low"], found["usual"], found["high"]) == (60, 45, 60, 90)
    assert found["origin"] == "reference"
    assert found["mark"] == "seen"
    assert "Iowa Beef Center" in found["source"]
    assert found["input"] == "assumptions.space.concrete_pad.beef_cow"


def test_areas_are_those_of_the_costing(systems):
    found = demo_annex("engineer", ROOFED)
    (pad,) = [one for one in systems[ROOFED]["structures"] if one["key"] == "pad"]
    assert value(found, "space", "area", "Concrete pad") == pad["size"] == 4900
    # Rule: 62 x 60 + 9 x 48 + 13 x 35 + 3 x 65 sq ft, the reference values of the annex itself.
    by_rule = sum(
        heads * value(found, "rules", "room", group)
        for group, heads in (
            ("Cows", 62),
            ("Bred heifers", 9),
            ("Replacement heifers", 13),
            ("Bulls", 3),
        )
    )
    assert value(found, "space", "area_by_rule", "Concrete pad") == pytest.approx(by_rule)
    assert pad["size_by_rule"] == pytest.approx(by_rule)


def test_manure_of_a_day_is_that_of_the_handbook():
    # AWMFH chapter 4 (2008), table 4-8: beef cow in confinement 104 lb, growing calf 77 lb a day
    # for 1,000 lb; bred heifers and bulls stand with cows in the edition.
    adults = CATTLE_AU["Cows"] + CATTLE_AU["Bred heifers"] + BULLS_AU
    by_hand = 104 * adults + 77 * CATTLE_AU["Replacement heifers"]
    found = demo_annex("engineer", ROOFED)
    assert value(found, "solids", "per_day", "Concrete pad: manure") == pytest.approx(by_hand)
    # 61 lb a cu ft: 104 lb in 1.7 cu ft, the same table.
    volume = value(found, "solids", "volume_per_day", "Concrete pad: manure")
    assert volume == pytest.approx(by_hand / 61)


def test_loads_are_what_is_collected_over_a_load(systems):
    # 92 % of what falls on concrete is collected (assumption of the edition); a load is 6 tons.
    found = demo_annex("engineer", ROOFED)
    fallen = sum(
        value(found, "solids", "winter", f"Concrete pad: {word}")
        for word in ("manure", "bedding", "wasted hay")
    )
    assert value(found, "storage", "loads") == pytest.approx(0.92 * fallen / 2000 / 6)
    assert value(found, "storage", "loads") == systems[ROOFED]["quantities"]["manure_loads"]
    assert item(found, "storage", "load")["origin"] == "given"


def test_storage_holds_its_days_of_what_is_collected():
    # 120 of the days of a mean winter, 131.25, of all that comes off the only floor.
    found = demo_annex("engineer", ROOFED)
    whole = value(found, "solids", "collected", "Concrete pad: in all, 131 days")
    parts = sum(
        one["value"]
        for one in items(found, "solids")
        if one["line"] == "collected" and "in all" not in one["about"]
    )
    assert whole == pytest.approx(parts)
    assert value(found, "storage", "volume", "Stack storage") == pytest.approx(whole * 120 / 131.25)


def test_rain_on_open_ground_is_inches_times_area():
    # 14.8 in on 8,400 sq ft of rock, by definition of the units; a roof takes all of it.
    found = demo_annex("engineer", ROCK)
    assert value(found, "runoff", "rain_on_open_ground") == pytest.approx(14.8 / 12 * 8400)
    assert item(found, "runoff", "winter_rain")["origin"] == "given"
    assert value(demo_annex("engineer", ROOFED), "runoff", "open_ground") == 0
    assert value(demo_annex("engineer", ROOFED), "runoff", "roofs") == 4900


def test_concrete_and_rock_are_area_times_depth():
    # 6 in on 4,900 sq ft, 27 cu ft to a cubic yard; 6,600 new sq ft at 70 lb to a ton of 2,000 lb.
    assert value(demo_annex("engineer", ROOFED), "materials", "concrete") == pytest.approx(
        4900 * 0.5 / 27
    )
    rock = item(demo_annex("engineer", ROCK), "materials", "rock")
    assert rock["value"] == pytest.approx(6600 * 70 / 2000)
    assert rock["mark"] == "assumption"
    assert value(demo_annex("engineer", ROCK), "materials", "fabric") == pytest.approx(6600 / 9)


def test_the_water_supply_is_that_of_the_published_example():
    # NRCS North Dakota, feedlot water: 500 head at 2 gallons an hour take 16.5 gallons a minute
    # (printed to half a gallon; 16.7 exactly).
    hourly = planned("drinking_per_hour")
    assert taken(hourly, "supply", "", 500 / 60, "gallon/minute").value == pytest.approx(
        16.5, abs=0.3
    )
    found = item(demo_annex("engineer", ROOFED), "drinking", "peak_hour")
    assert (found["low"], found["value"]) == (87, 174)


def test_animals_without_a_drinking_figure_are_named_and_not_guessed():
    told = [
        one
        for one in items(demo_annex("engineer", ROOFED), "drinking")
        if one["line"] == "peak_day"
    ]
    assert [one["origin"] for one in told] == ["worked", "worked", "not_known"]
    assert told[-1]["about"] == "Bred heifers, Replacement heifers, Bulls and Rams"
    assert told[-1]["value"] is None


def test_every_structure_of_the_costing_is_there_with_its_price(systems):
    for system in (ROOFED, ROCK, GROUND):
        found = demo_annex("engineer", system)
        costs = [one for one in items(found, "quantities") if one["line"] == "first_cost"]
        assert [(one["about"], one["value"]) for one in costs] == [
            (one["title"], one["cost"]) for one in systems[system]["structures"]
        ]
    assert value(found, "quantities", "price", "Rock pad, rebuilt and enlarged") == 16500
    assert value(found, "quantities", "quote_date", "Mound") == "2026-02-18"
    assert item(found, "quantities", "price", "Sheep racks")["origin"] == "reference"
    assert value(found, "quantities", "state", "Sheep racks") == "there now, 5 years left"


def test_a_price_without_the_date_of_its_quote_says_so():
    document = demo_document()
    del document["systems"][GROUND]["structures"]["mound"]["quote_date"]
    found = item(annex("engineer", document, GROUND), "quantities", "quote_date", "Mound")
    assert found["origin"] == "not_known"
    assert found["note"] == "A price without the date of its quote."


def test_companion_practices_are_those_of_the_costing(systems):
    found = demo_annex("engineer", ROCK)
    told = [one for one in items(found, "practices") if one["line"] == "status"]
    known = systems[ROCK]["companions"]
    assert [one["value"] for one in told] == [one["status"].replace("_", " ") for one in known]
    # Numbers of NRCS practice standards (from memory): 313 is the waste storage facility.
    assert "313" in value(found, "practices", "standard", "Manure storage")
    assert item(found, "practices", "standard", "Manure storage")["mark"] == "from memory"


def test_upkeep_is_the_mean_of_the_years(systems):
    found = demo_annex("engineer", ROCK)
    for told in systems[ROCK]["structures"]:
        by_year = told["upkeep_by_year"][1:]
        assert value(found, "upkeep", "upkeep", told["title"]) == pytest.approx(
            sum(by_year) / len(by_year)
        )


def test_what_nobody_knows_has_no_value_and_no_source():
    for system in (ROOFED, ROCK, GROUND, "lot_open_rings"):
        found = demo_annex("engineer", system)
        missing = [
            one
            for block in found["blocks"]
            for one in block["items"]
            if one["origin"] == "not_known"
        ]
        assert missing
        assert {(one["value"], one["source"], one["mark"]) for one in missing} == {(None, "", "")}
    site = {one["line"] for one in items(found, "site")}
    assert {"depth_to_water", "flood_plain", "karst", "wells", "snow_load"} <= site


def test_the_musts_for_builders_are_all_there(systems):
    found = {one["line"] for one in items(demo_annex("engineer", ROOFED), "cautions")}
    triggered = {one["caution"] for one in systems[ROOFED]["cautions"]}
    wanted = {"licensed_engineer", "call_before_digging", "wetland_flood_plain_permits"}
    assert wanted <= found <= triggered


def test_every_planning_figure_has_a_source_or_says_that_it_is_assumed():
    def entries(table):
        if "note" in table:
            yield table
        for inner in table.values():
            if isinstance(inner, dict):
                yield from entries(inner)

    found = list(entries(planning()))
    assert len(found) >= 8
    for entry in found:
        assert entry["source"] or "assumption" in entry["note"]
        assert "low" not in entry or entry["low"] <= entry["usual"] <= entry["high"]
