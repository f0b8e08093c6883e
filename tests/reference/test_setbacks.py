"""Setbacks of places: every row with source and date, none of them a default, and as published."""

import math
import re
from datetime import date

import pytest

from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.farm import Land
from service.costing.reference.setbacks import DISCLAIMER, place_called, place_keys, setback_table
from service.demo import demo_document
from service.web.reading import scenario_of

ROWS = {row.key: row for place in setback_table().places.values() for row in place.setbacks}

# Feet as published, or metres over 0.3048 (a foot by definition).
PUBLISHED = [
    # Reduction and Prevention of Agricultural Diffuse Pollution (England) Regulations 2018,
    # SI 2018/151, regulations 7, 9 and 10
    ("england_feeder_water", 32.8, 0.05),
    ("england_feeder_well", 164, 0.5),
    ("england_poaching", 16.4, 0.05),
    ("england_manure_water", 32.8, 0.05),
    ("england_manure_well", 164, 0.5),
    ("england_spreading_water", 32.8, 0.05),
    # Alberta Agriculture on the Agricultural Operation Practices Act: 30 m
    ("alberta_wintering_water", 98.4, 0.05),
    # Basden, WVU Extension, November 2000
    ("west_virginia_fence", 50, 0),
    # Preble SWCD, Ohio (and Darke SWCD 2016)
    ("ohio_stack_water", 300, 0),
    ("ohio_stack_intake", 1500, 0),
    ("ohio_stack_home", 500, 0),
    # OSU CFAES, 18 January 2012, on NRCS 590 and 633
    ("ohio_spreading_water", 200, 0),
    ("ohio_spreading_well", 300, 0),
    # Code of Iowa 459.311B
    ("iowa_stack_water", 400, 0),
    ("iowa_stack_special", 800, 0),
    ("iowa_stack_inlet", 200, 0),
    # Minnesota Rules 7020.2005 and 7020.2125
    ("minnesota_storage_sinkhole", 300, 0),
    ("minnesota_storage_well", 100, 0),
    ("minnesota_storage_community_well", 1000, 0),
    ("minnesota_stack_water", 300, 0),
    # MU Extension WQ306
    ("missouri_storage_well", 100, 0),
    # Pennsylvania Consolidated Statutes, title 3, section 507
    ("pennsylvania_spreading_water", 100, 0),
    # NRCS Wisconsin 590, 2005; from memory of slides on it
    ("wisconsin_spreading_stream", 300, 0),
    ("wisconsin_spreading_lake", 1000, 0),
]


@pytest.mark.parametrize(("key", "distance", "precision"), PUBLISHED)
def test_a_distance_is_the_published_one(key, distance, precision):
    assert ROWS[key].distance_ft == pytest.approx(distance, abs=precision)


def test_slopes_are_the_published_ones():
    # SI 2018/151 regulation 4(2)(a): 12 degrees; Preble SWCD: 6 %; Iowa DNR 2011: 3 %
    assert ROWS["england_feeder_water"].slope_limit_percent == pytest.approx(21.3, abs=0.05)
    assert ROWS["england_feeder_water"].slope_limit_percent == pytest.approx(
        100 * math.sin(math.radians(12)) / math.cos(math.radians(12))
    )
    assert ROWS["ohio_stack_water"].slope_limit_percent == 6
    assert ROWS["iowa_stack_water"].slope_limit_percent == 3


@pytest.mark.parametrize("row", ROWS.values(), ids=lambda row: row.key)
def test_every_setback_has_source_date_and_mark(row):
    assert len(row.source) > 10
    assert row.where
    assert row.conditions.endswith(".")
    assert re.search(r"\b(19|20)\d\d\b", row.date) or row.date == "no date shown"
    assert row.mark in {"seen", "from memory"}
    assert row.distance_ft > 0
    assert row.key.startswith(row.place)


def test_what_was_not_read_in_the_rule_itself_says_so():
    unread = {key for key, row in ROWS.items() if row.mark == "from memory"}
    assert unread
    for key in unread:
        assert "not read" in ROWS[key].conditions


def test_keys_are_told_apart_and_every_place_has_a_setback():
    assert sum(len(place.setbacks) for place in setback_table().places.values()) == len(ROWS)
    for key in place_keys():
        place = place_called(key)
        assert place.setbacks
        assert place.ask
        assert {row.place_title for row in place.setbacks} == {place.title}


def test_no_place_is_built_in():
    land = Land(fields={}, forage_value_per_ton_dm=50)
    assert land.place is None
    assert land.setback_ft is None


def test_the_table_says_when_it_was_read_and_that_law_changes():
    assert isinstance(setback_table().read_on, date)
    assert "law changes" in DISCLAIMER
    assert "ask the agency" in DISCLAIMER


def test_an_unknown_place_is_refused_with_the_nearest():
    document = demo_document()
    document["land"]["place"] = "ohoi"
    with pytest.raises(InputError) as refused:
        cost(scenario_of(document))
    (fault,) = refused.value.faults
    assert fault.input == "land.place"
    assert fault.received == "ohoi"
    assert fault.suggestion == "ohio"
    assert set(place_keys()) <= set(str(fault.allowed).split(", "))


@pytest.mark.parametrize("member", [{"place": "england"}, {"setback_ft": 300}])
def test_a_setback_changes_no_figure(member):
    document = demo_document()
    before = cost(scenario_of(document))
    document["land"] |= member
    after = cost(scenario_of(document))
    for key, system in before.systems.items():
        money = system.account.annual_equivalent.value
        assert (after.systems[key].account.annual_equivalent.value == money).all()
