"""Each caution comes when it should, and only then; each has a source that can be looked up."""

import string

import pytest

from service.costing.caution_table import RANKS, caution_table
from service.costing.cautions import DISCLAIMER, cautions_of
from service.costing.reference.table import load_edition, newest_edition
from service.costing.triggers import TRIGGERS
from tests.engine.small_farm import BALES, GRASS, LOT, PACK, PAD, SYSTEM, UNROLLED, costed, plan

SHEEP = {"ewes": {"animal": "ewe", "head": 30, "body_weight_lb": 160, "stage": "maintenance"}}
CALVING = {"herd": {"cows": {"stage": None, "birth_starts": "02-20", "birth_season_days": 40}}}
AUTUMN_CALVING = {
    "herd": {"cows": {"stage": None, "birth_starts": "09-01", "birth_season_days": 40}}
}
WET = {"winter": {"ground_days": {"firm": 60, "wet": 40}}}
FROZEN = {"winter": {"ground_days": {"firm": 90, "frozen": 10}}}
POND = {"land": {"fields": {"hill": {"distance_to_water_ft": 120}}}}
IN_OHIO = {"land": {"place": "ohio"}}
OWN_SETBACK = {"land": {"setback_ft": 200}}
RENTED = {"land": {"fields": {"yard": {"tenure": "rented", "lease_years_left": 5}}}}
BOUGHT = {"hay": {"home_grown_fraction": 0.5}}
ROCK_PAD = {"kind": "gravel_pad", "field": "yard"}
OLD_PAD = {**ROCK_PAD, "existing": True, "remaining_life_years": 5, "area_sqft": 4000}
BARN = {"kind": "pack_floor"}
DRINKER = {"kind": "waterer", "existing": True, "remaining_life_years": 5}
SHARED = {**ROCK_PAD, "cost_share": {"rate": 0.5}}
PAID = {**ROCK_PAD, "cost_share": {"rate": 0.5, "status": "paid"}}
STOCKPILE_IN_ROWS = {
    "winter": {
        "ground_days": None,
        "rows": [
            {"season": "2021-22", "ground_days": {"firm": 100}},
            {"season": "2022-23", "ground_days": {"firm": 100}, "stockpile_growth_factor": 0.6},
        ],
    }
}


def lot_for(days):
    """Return a plan that holds the herd on the lot for some days, then turns it onto grass."""
    return plan({**LOT, "max_days": days}, GRASS, UNROLLED)


def with_grass(**settings):
    return plan({**GRASS, **settings}, UNROLLED)


def hay(**members):
    return {"hay": members}


# key: (changes that bring the caution, changes that come near and do not)
CASES = {
    # 40 CFR 122.23(b)(1)(i): a total of 45 days or more in any 12-month period
    "confined_45_days": ([lot_for(45)], [lot_for(44)]),
    "setbacks_not_checked": ([lot_for(10)], [plan(UNROLLED)]),
    "setbacks_to_confirm": ([IN_OHIO, plan(UNROLLED)], [IN_OHIO, plan(GRASS)]),
    "landlord_consent": ([RENTED, plan(PAD, pad=ROCK_PAD)], [RENTED, plan(PAD, pad=OLD_PAD)]),
    "cost_share_contract": ([plan(PAD, pad=SHARED)], [plan(PAD, pad=PAID)]),
    "call_before_digging": ([plan(PAD, pad=ROCK_PAD)], [plan(PAD, pad=OLD_PAD)]),
    "wetland_flood_plain_permits": ([plan(PAD, pad=ROCK_PAD)], [plan(PAD, pad=OLD_PAD)]),
    "licensed_engineer": ([plan(PACK, barn=BARN)], [plan(PAD, pad=ROCK_PAD)]),
    "snow_and_wind_on_roofs": ([plan(PACK, barn=BARN)], [plan(PAD, pad=ROCK_PAD)]),
    "toxic_fescue": ([], [plan(UNROLLED)]),
    "nitrate_and_prussic_acid": (
        [STOCKPILE_IN_ROWS, with_grass(nitrogen_lb_per_acre=60)],
        [STOCKPILE_IN_ROWS, with_grass(nitrogen_lb_per_acre=0)],
    ),
    "grass_tetany": ([CALVING], [CALVING, plan(LOT)]),
    "copper_and_sheep": ([{"herd": SHEEP}], []),
    "whole_bales_and_sheep": (
        [{"herd": SHEEP}, plan(LOT)],
        [{"herd": SHEEP}, plan({**LOT, "presentation": {"cows": "ring_open", "ewes": "bunk"}})],
    ),
    "listeria_and_botulism": ([plan(UNROLLED), hay(storage="wrapped")], [plan(UNROLLED)]),
    # Purdue Extension 2024: no more than 18 % moisture in large round bales
    "stack_fire": (
        [plan(UNROLLED), hay(storage="ground_uncovered", dry_matter_fraction=0.815)],
        [plan(UNROLLED), hay(storage="ground_uncovered", dry_matter_fraction=0.825)],
    ),
    "manure_gas": ([plan(PACK, barn=BARN)], [plan(PAD, pad=ROCK_PAD)]),
    "calving_and_lambing_ground": (
        [WET, CALVING, plan(LOT)],
        [WET, AUTUMN_CALVING, plan(LOT)],
    ),
    "loader_and_bales": ([plan(UNROLLED), hay(bale_weight_lb=1000)], [hay(bale_weight_lb=1000)]),
    "slope": (
        [plan(UNROLLED), {"land": {"fields": {"hill": {"slope_percent": 20}}}}],
        [plan(UNROLLED), {"land": {"fields": {"yard": {"slope_percent": 20}}}}],
    ),
    "lone_work": ([CALVING], []),
    "young_workers": (
        [{"herd": {"bulls": {"animal": "bull", "head": 1, "body_weight_lb": 1800}}}],
        [{"herd": {"rams": {"animal": "ram", "head": 1, "body_weight_lb": 220}}}],
    ),
    "ice": ([FROZEN, POND], [POND]),
    "stray_voltage": ([plan(UNROLLED, drinker=DRINKER)], [plan(UNROLLED)]),
    "winter_spreading": ([plan(PAD, pad=ROCK_PAD)], [plan(LOT)]),
    "net_wrap_and_twine": ([plan(UNROLLED)], []),
    "electric_fence": ([with_grass(days_per_move=3)], []),
    "suffering_not_in_money": (
        [plan(LOT), {"winter": {"ground_days": {"firm": 79, "wet": 21}}}],
        [plan(LOT), {"winter": {"ground_days": {"firm": 80, "wet": 20}}}],
    ),
    "public_record": ([{"name": "Pebble Hollow"}], []),
    "herbicide_carry_over": ([BOUGHT, plan(UNROLLED)], [plan(UNROLLED)]),
    "moldy_hay": ([plan(UNROLLED), hay(storage="gravel_uncovered")], [plan(UNROLLED)]),
    "wells": ([POND], []),
    "flies": ([plan(BALES)], []),
    "dead_animals": ([CALVING], [AUTUMN_CALVING]),
}

DEFERS_TO_OTHERS = (
    "confined_45_days",
    "setbacks_not_checked",
    "setbacks_to_confirm",
    "cost_share_contract",
    "wetland_flood_plain_permits",
    "winter_spreading",
    "wells",
    "dead_animals",
    "public_record",
)


def triggered(changes):
    costing, system = costed(*changes)
    return {item["caution"]: item for item in cautions_of(costing, system)}


def test_every_caution_has_a_trigger_and_a_case():
    assert set(caution_table()) == set(TRIGGERS) == set(CASES)


@pytest.mark.parametrize("key", CASES)
def test_a_caution_comes_on_a_farm_that_triggers_it(key):
    bring, _ = CASES[key]
    item = triggered(bring)[key]
    assert item["rank"] == caution_table()[key].rank
    for text in (item["trigger"], item["sentence"]):
        assert text.endswith(".")
        assert "{" not in text
        assert "  " not in text
        assert text[0].isupper() or text[0].isdigit()


@pytest.mark.parametrize("key", CASES)
def test_a_caution_stays_away_from_a_farm_that_does_not(key):
    _, keep_off = CASES[key]
    assert key not in triggered(keep_off)


def test_the_musts_come_first():
    ranks = [item["rank"] for item in triggered([BOUGHT, CALVING, plan(UNROLLED)]).values()]
    assert set(ranks) == set(RANKS)
    assert ranks == sorted(ranks)


def test_every_caution_names_a_source_that_there_is():
    sources = load_edition(newest_edition()).sources
    for caution in caution_table().values():
        assert caution.source in sources
        assert caution.where


def test_every_name_in_braces_is_a_word():
    for caution in caution_table().values():
        for text in (caution.trigger, caution.sentence):
            names = [name for _, name, _, _ in string.Formatter().parse(text) if name is not None]
            assert all(name.isidentifier() for name in names)


@pytest.mark.parametrize("key", DEFERS_TO_OTHERS)
def test_cautions_of_law_say_whom_to_ask(key):
    assert "ask" in caution_table()[key].sentence.lower()


def test_days_of_confinement_need_not_be_of_the_same_animals():
    # EPA guidance in Maine rules ch. 565, attachment E: some animals on the lot, 45 days in all
    changes = plan(
        {**LOT, "key": "cattle", "groups": ["cows"], "max_days": 30},
        {**LOT, "key": "sheep", "groups": ["ewes"], "max_days": 30, "presentation": "bunk"},
        GRASS,
        UNROLLED,
    )
    item = triggered([{"herd": SHEEP}, changes])["confined_45_days"]
    assert "up to 60 days" in item["trigger"]


def test_half_the_herd_on_a_lot_for_all_the_winter_is_there_every_day():
    changes = plan({**LOT, "share_of_herd": 0.4}, GRASS, UNROLLED)
    item = triggered([changes])["confined_45_days"]
    assert "100 days" in item["trigger"]


def test_fescue_speaks_of_nitrogen_and_of_the_dry_autumn():
    item = triggered([STOCKPILE_IN_ROWS, with_grass(nitrogen_lb_per_acre=46)])["toxic_fescue"]
    assert "46 lb of nitrogen" in item["trigger"]
    assert "2022-23" in item["trigger"]
    assert "2021-22" not in item["trigger"]


@pytest.mark.parametrize("chosen", [IN_OHIO, OWN_SETBACK])
def test_who_chose_a_place_is_not_told_that_nothing_was_checked(chosen):
    found = triggered([chosen, lot_for(10)])
    assert "setbacks_not_checked" not in found
    assert "setbacks_to_confirm" in found


def test_setbacks_that_are_not_kept_or_not_known_are_named():
    # Preble and Darke SWCD, Ohio: heaps 300 ft from water, 500 ft from homes
    store = {"kind": "manure_storage", "field": "hill", "storage_days": 120}
    found = triggered([IN_OHIO, POND, plan(PAD, pad=ROCK_PAD, store=store)])
    trigger = found["setbacks_to_confirm"]["trigger"]
    assert "too near, as far as one distance to the nearest water tells: hill (300 ft)" in trigger
    assert "not known: hill (1,500 ft), Where manure is spread (300 ft)" in trigger
    assert "none checked: yard" in trigger
    assert "25 November 2026" in found["setbacks_to_confirm"]["sentence"]


def test_a_system_that_keeps_hay_elsewhere_is_cautioned_for_that_store():
    dry = {"systems": {SYSTEM: {"hay_storage": "ground_uncovered"}}}
    found = triggered([plan(UNROLLED), dry])
    assert "moldy_hay" in found
    assert "stack_fire" not in found


def test_names_that_are_not_given_are_no_public_record():
    field = {"land": {"fields": {"hill": {"title": "Pebble Hill"}}}}
    assert "public_record" in triggered([field])


def test_the_disclaimer_is_one_sentence():
    assert DISCLAIMER.endswith(".")
    assert DISCLAIMER.count(".") == 1
