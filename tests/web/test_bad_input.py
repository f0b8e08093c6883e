"""A document that cannot be costed: each fault named with place, value and what is allowed."""

import json
from collections.abc import Callable
from functools import reduce
from typing import Any

import pytest


def _set(path: str, value: Any) -> Callable[[dict[str, Any]], None]:
    """Change one place of a document; ``path`` is a JSON Pointer (RFC 6901)."""
    *way, last = _tokens(path)

    def change(document: dict[str, Any]) -> None:
        _at(document, way)[last] = value

    return change


def _drop(path: str) -> Callable[[dict[str, Any]], None]:
    *way, last = _tokens(path)

    def change(document: dict[str, Any]) -> None:
        del _at(document, way)[last]

    return change


def _tokens(pointer: str) -> list[str]:
    # RFC 6901, section 4: ~1 is read before ~0.
    return [part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:]]


def _at(document: Any, way: list[str]) -> Any:
    return reduce(
        lambda node, token: node[int(token) if isinstance(node, list) else token], way, document
    )


ROOF = {"kind": "roof", "over": "nowhere"}
RENTED = {"tenure": "rented", "lease_years_left": 0}

CASES = [
    # what is spoiled, the path of the fault, and words that its sentence must have
    (_set("/herd/cows/hed", 64), "herd.cows.hed", ("hed", "head")),
    (_set("/hay/storage", "barm"), "hay.storage", ("barm", "barn")),
    (
        _set("/assumptions/hay_waste.ring_opn", 0.2),
        "assumptions.hay_waste.ring_opn",
        ("hay_waste.ring_open",),
    ),
    (
        _set("/systems/rings/plan/0/method", "sacrifice"),
        "systems.rings.plan.sacrifice.method",
        ("sacrifice_lot",),
    ),
    (
        _set("/systems/rings/structures/rings/kind", "feeders"),
        "systems.rings.structures.rings.kind",
        ("feeder",),
    ),
    (_set("/herd/cows/head", "64"), "herd.cows.head", ("number", "64")),
    (_set("/herd/cows/head", value=True), "herd.cows.head", ("number", "true")),
    (_set("/herd/cows/head", float("nan")), "herd.cows.head", ("number", "NaN")),
    (_set("/herd/cows/head", float("inf")), "herd.cows.head", ("number", "Infinity")),
    (
        _set("/assumptions/hay_waste.bunk", float("nan")),
        "assumptions.hay_waste.bunk",
        ("number", "NaN"),
    ),
    (_set("/assumptions/hay_waste.bunk", value=True), "assumptions.hay_waste.bunk", ("number",)),
    (_set("/assumptions/hay_waste.bunk", "none"), "assumptions.hay_waste.bunk", ("number",)),
    (_set("/assumptions/hay_waste.bunk", 1.5), "assumptions.hay_waste.bunk", ("0.9",)),
    (
        _set("/assumptions/mud_level.pasture.wet", "muddy"),
        "assumptions.mud_level.pasture.wet",
        ("shallow",),
    ),
    (_set("/hay/hayfield_fertilized", 1), "hay.hayfield_fertilized", ("true or false",)),
    (_set("/herd/cows/title", 7), "herd.cows.title", ("text",)),
    (_set("/herd", []), "herd", ("object",)),
    (_set("/systems/rings/plan", {}), "systems.rings.plan", ("list",)),
    (_set("/herd/cows/head", -64), "herd.cows.head", ("at least 1", "head")),
    (_set("/hay/price_per_ton", 5001), "hay.price_per_ton", ("at most 5,000", "currency/ton")),
    (_set("/finance/horizon_years", 14.5), "finance.horizon_years", ("whole number",)),
    (_set("/winter/first_day", "02-29"), "winter.first_day", ("MM-DD",)),
    (_set("/winter/first_day", "11-31"), "winter.first_day", ("MM-DD",)),
    (_set("/currency", "dollars"), "currency", ("ISO 4217",)),
    (_drop("/prices/k2o_per_lb"), "prices.k2o_per_lb", ("missing",)),
    (_drop("/systems/rings/plan/0/method"), "systems.rings.plan.1.method", ("missing",)),
    (_set("/winter/ground_days/wet", 60), "winter", ("137", "153")),
    (
        _set("/systems/rings/plan/0/field", "crek_lot"),
        "systems.rings.plan.sacrifice_lot.field",
        ("creek_lot",),
    ),
    (_drop("/systems/rings/plan/0/field"), "systems.rings.plan.sacrifice_lot.field", ("field",)),
    (
        _set("/systems/barn/plan/1/structure", "shed"),
        "systems.barn.plan.bedded_pack.structure",
        ("barn",),
    ),
    (
        _set("/systems/rings/plan/0/ground_states", ["frozen"]),
        "systems.rings.plan",
        ("firm", "wet"),
    ),
    (
        _set("/systems/rings/structures/roof", ROOF),
        "systems.rings.structures.roof.over",
        ("nowhere",),
    ),
    (_set("/baseline", "today"), "baseline", ("rings",)),
]


@pytest.mark.parametrize(("spoil", "path", "words"), CASES, ids=[case[1] for case in CASES])
def test_a_fault_names_the_place_and_what_is_allowed(call, farm, spoil, path, words):
    spoil(farm)
    answer = call.cost(farm)
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    faults = [fault for fault in answer.json()["errors"] if fault["input"].startswith(path)]
    assert faults, answer.json()["errors"]
    said = json.dumps(faults)
    assert all(word in said for word in words), said


def test_a_lease_that_ended_is_refused(call, farm):
    farm["land"]["fields"]["hill_field"] |= RENTED
    answer = call.cost(farm)
    assert answer.status_code == 422
    assert "hill_field" in answer.text
    assert "lease" in answer.text


def test_losses_that_sum_above_one_are_refused(call, farm):
    for year in (1, 2, 3):
        farm["assumptions"][f"restoration.forage_loss.severe.{year}"] = 0.9
    farm["assumptions"]["hay_waste.ring_open"] = 0.9
    farm["assumptions"]["hay_waste_added.ring_open.wet"] = 0.5
    assert call.cost(farm).status_code == 422


def test_a_structure_given_twice_is_refused(call, farm):
    body = json.dumps({"document": farm})
    doubled = body.replace(
        '"rings": {"kind": "feeder"}', '"rings": {"kind": "feeder"}, "rings": {"kind": "feeder"}'
    )
    answer = call.cost_raw(doubled)
    assert answer.status_code == 422
    errors = answer.json()["errors"]
    assert {"systems.rings.structures.rings", "systems.bales_and_pad.structures.rings"} <= {
        error["input"] for error in errors
    }
    assert all("more than once" in error["detail"] for error in errors)


@pytest.mark.parametrize("number", ["1e400", "-1e400", "NaN", "Infinity", "9" * 5000, "9" * 400])
def test_a_number_that_no_float_can_hold_is_named_where_it_stands(call, farm, number):
    farm["herd"]["cows"]["head"] = "HERE"
    answer = call.cost_raw(json.dumps({"document": farm}).replace('"HERE"', number))
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["input"] == "herd.cows.head"
    assert error["pointer"] == "/document/herd/cows/head"
    assert str(error["received"]).startswith(number[:100])


def test_all_faults_come_at_once_even_those_between_inputs(call, farm):
    farm["herd"]["cows"]["head"] = True
    farm["herd"]["cows"]["hed"] = 3
    farm["hay"]["price_per_ton"] = -1
    farm["systems"]["barn"]["plan"][0]["field"] = "hill"
    farm["systems"]["barn"]["structures"]["barn"]["rof"] = 1
    del farm["finance"]["horizon_years"]
    answer = call.cost(farm, {"prices.labour_per_hour": 20, "prices.labor_per_hour": "20"})
    found = {error["input"] for error in answer.json()["errors"]}
    assert found == {
        "herd.cows.head",
        "herd.cows.hed",
        "hay.price_per_ton",
        "systems.barn.plan.unrolled_hay.field",
        "systems.barn.structures.barn.rof",
        "finance.horizon_years",
        "prices.labour_per_hour",
        "prices.labor_per_hour",
    }


def test_a_faulty_step_does_not_accuse_its_neighbors(call, farm):
    # The rest of the winter is served by a step that cannot be read: no word of days unserved.
    farm["systems"]["barn"]["plan"][1]["method"] = "bedded_pak"
    errors = call.cost(farm).json()["errors"]
    assert [error["input"] for error in errors] == ["systems.barn.plan.bedded_pak.method"]
    assert errors[0]["suggestion"] == "bedded_pack"


def test_every_pointer_leads_to_the_value_that_was_sent(call, farm):
    farm["herd"]["cows"]["head"] = "many"
    farm["systems"]["bales_and_pad"]["plan"][1]["hours_on_method"] = 25
    farm["assumptions"]["hay_waste.bunk"] = []
    farm["systems"]["rings"]["structures"]["a/b"] = {"kind": "feeder"}
    settings = {"hay.bale_weight_lb": "1080 lb"}
    body = {"document": farm, "set": settings}
    errors = call.cost(farm, settings).json()["errors"]
    sent = {error["pointer"]: _at(body, _tokens(error["pointer"])) for error in errors}
    assert sent == {
        "/document/herd/cows/head": "many",
        "/document/systems/bales_and_pad/plan/1/hours_on_method": 25,
        "/document/assumptions/hay_waste.bunk": [],
        "/document/systems/rings/structures/a~1b": {"kind": "feeder"},
        "/set/hay.bale_weight_lb": "1080 lb",
    }


# RFC 6901, section 5: the document and pointers of the table.
RFC_DOCUMENT = {
    "foo": ["bar", "baz"],
    "": 0,
    "a/b": 1,
    "c%d": 2,
    "e^f": 3,
    "g|h": 4,
    "i\\j": 5,
    'k"l': 6,
    " ": 7,
    "m~n": 8,
}
RFC_TABLE = [
    ("/foo/0", "bar"),
    ("/", 0),
    ("/a~1b", 1),
    ("/c%d", 2),
    ("/e^f", 3),
    ("/g|h", 4),
    ("/i\\j", 5),
    ('/k"l', 6),
    ("/ ", 7),
    ("/m~0n", 8),
]


@pytest.mark.parametrize(("pointer", "value"), RFC_TABLE)
def test_pointers_are_read_here_as_the_standard_reads_them(pointer, value):
    assert _at(RFC_DOCUMENT, _tokens(pointer)) == value


def test_winter_rows_are_called_by_season_or_by_number(call, farms):
    farm = json.loads(json.dumps(farms["worked_farm_rows"]))
    farm["winter"]["rows"][0]["ground_days"]["wet"] = -1
    del farm["winter"]["rows"][1]["season"]
    farm["winter"]["rows"][1]["weight"] = 0
    errors = call.cost(farm).json()["errors"]
    season = farm["winter"]["rows"][0]["season"]
    assert [(error["input"], error["pointer"]) for error in errors] == [
        (f"winter.rows.{season}.ground_days.wet", "/document/winter/rows/0/ground_days/wet"),
        ("winter.rows.2.weight", "/document/winter/rows/1/weight"),
    ]


def test_too_many_of_a_kind_is_refused(call, farm):
    system = farm["systems"]["rings"]
    farm["systems"] |= {f"copy_{number}": system for number in range(100)}
    (error,) = call.cost(farm).json()["errors"]
    assert error["input"] == "systems"
    assert error["received"] == 100 + 4
    assert "at most" in error["detail"]


def test_thousands_of_faults_are_counted_and_not_all_listed(call, farm):
    farm |= {f"unknown_{number}": 1 for number in range(20_000)}
    problem = call.cost(farm).json()
    assert len(problem["errors"]) == 200
    assert problem["errors_in_all"] == 20_000
