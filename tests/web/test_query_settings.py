"""`set.<path>=` in the address of a costing: single inputs changed for one answer."""

import pytest


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


SETTINGS = [
    ("set.hay.price_per_ton=140", {"hay.price_per_ton": 140}),
    ("set.hay.price_per_ton=140.5", {"hay.price_per_ton": 140.5}),
    ("set.hay.price_per_ton=1.4e2", {"hay.price_per_ton": 140}),
    ("set.hay.storage=gravel_uncovered", {"hay.storage": "gravel_uncovered"}),
    ("set.hay.bales_on_hand=default", {"hay.bales_on_hand": None}),
    ("set.hay.hayfield_fertilized=true", {"hay.hayfield_fertilized": True}),
    ("set.name=1417", {"name": "1417"}),
    ("set.winter.last_day=04-06", {"winter.last_day": "04-06"}),
    ("set.assumptions.hay_waste.ring_open=0.14", {"assumptions.hay_waste.ring_open": 0.14}),
    (
        "set.systems.bales_and_pad.plan.bale_grazing.ground_states=frozen,snow_covered,firm",
        {
            "systems.bales_and_pad.plan.bale_grazing.ground_states": [
                "frozen",
                "snow_covered",
                "firm",
            ]
        },
    ),
    (
        "set.herd.cows.head=70&set.hay.price_per_ton=90",
        {"herd.cows.head": 70, "hay.price_per_ton": 90},
    ),
]


@pytest.mark.parametrize(("query", "settings"), SETTINGS)
def test_settings_in_the_address_cost_as_those_in_a_body(keeping, scenario, query, settings):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing?{query}", "read")
    sent = {"scenario": scenario, "set": settings}
    posted = keeping("POST", "/v1/costings", "read", json=sent)
    assert answer.status_code == posted.status_code == 200, answer.text
    assert answer.content == posted.content
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    ("query", "name", "words"),
    [
        ("set.hay.price_per_ton=92,5", "set.hay.price_per_ton", "use a decimal point"),
        ("set.hay.price_per_ton=1.092,5", "set.hay.price_per_ton", "use a decimal point"),
        ("set.hay.price_per_ton=", "set.hay.price_per_ton", "empty"),
        ("set.hay.price_per_ton=1&set.hay.price_per_ton=2", "set.hay.price_per_ton", "once"),
        ("revison=1", "revison", "did you mean revision?"),
        ("revision=0", "revision", "from 1"),
        ("revision=x", "revision", "whole number"),
        ("revision=99999999999", "revision", "whole number"),
        ("revision=1&revision=1", "revision", "once"),
        ("sett.hay=1", "sett.hay", "no parameter"),
    ],
)
def test_a_parameter_that_is_not_understood_is_named(keeping, scenario, query, name, words):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing?{query}")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-parameter"
    (error,) = answer.json()["errors"]
    assert error["input"] == name
    assert words in error["detail"]


@pytest.mark.parametrize(
    ("query", "path", "words"),
    [
        ("set.herd.cow.head=70", "herd.cow.head", "herd.cows.head"),
        ("set.herd.cows.head=many", "herd.cows.head", "must be a number"),
        ("set.herd.cows.head=590%20kg", "herd.cows.head", "must be a number; 'kg' is no unit"),
        ("set.hay.price_per_ton=92,5%20USD", "hay.price_per_ton", "use a decimal point"),
        ("set.hay.price_per_ton=1e400", "hay.price_per_ton", "must be a number"),
        ("set.hay.price_per_ton=007", "hay.price_per_ton", "must be a number"),
        ("set.hay.price_per_ton=" + "9" * 4400, "hay.price_per_ton", "must be a number"),
        ("set.=1", "", "empty path"),
        ("set.herd=1", "herd", "not one value"),
        ("set.hay.price_per_ton=%00", "hay.price_per_ton", "must be a number"),
    ],
)
def test_a_setting_that_cannot_be_costed_names_its_path(keeping, scenario, query, path, words):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing?{query}")
    assert answer.status_code == 422
    error = answer.json()["errors"][0]
    assert error.get("input", "") == path
    assert words in error["detail"]
    assert "pointer" not in error


@pytest.mark.parametrize(
    ("query", "path", "value"),
    [
        # NIST Handbook 44, Appendix C: 1 lb = 0.453 592 37 kg, exact
        ("set.herd.cows.body_weight_lb=590%20kg",
         ("herd", "cows", "body_weight_lb"), 590 / 0.45359237),
        ("set.hay.price_per_ton=100%20USD/t", ("hay", "price_per_ton"), 100 * 0.90718474),
        ("set.assumptions.hay_waste.ring_open=14%20percent",
         ("assumptions", "hay_waste.ring_open"), 0.14),
        ("set.winter.last_day=Apr%206", ("winter", "last_day"), "04-06"),
        ("set.winter.last_day=2026-04-06", ("winter", "last_day"), "04-06"),
    ],
)  # fmt: skip
def test_a_value_may_carry_a_unit_and_a_date_be_written_out(keeping, scenario, query, path, value):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing?{query}", "read")
    assert answer.status_code == 200, answer.text
    found = answer.json()["inputs_used"]
    for name in path:
        found = found[name]
    assert found == (value if isinstance(value, str) else pytest.approx(value, rel=1e-12))


def test_a_list_of_numbers_is_one_even_if_others_of_its_name_are_single_numbers(keeping, farms):
    farm = farms["worked_farm_rows"]
    spells = [{state: [days] for state, days in row["ground_days"].items() if days >= 1}
              for row in farm["winter"]["rows"]]  # fmt: skip
    rows = [
        row | {"spells": known} for row, known in zip(farm["winter"]["rows"], spells, strict=True)
    ]
    scenario = keeping.stored(farm | {"winter": farm["winter"] | {"rows": rows}})
    season = rows[0]["season"]
    for text, lengths in (("3,4.5", [3, 4.5]), ("3", [3])):
        query = f"set.winter.rows.{season}.spells.wet={text}"
        answer = keeping.get(f"/v1/scenarios/{scenario}/costing?{query}", "read")
        assert answer.status_code == 200, answer.text
        used = answer.json()["inputs_used"]["winter"]["rows"][0]["spells"]["wet"]
        assert used == lengths
    query = f"set.winter.rows.{season}.ground_days.wet=1,5"
    refused = keeping.get(f"/v1/scenarios/{scenario}/costing?{query}", "read")
    assert "decimal point" in refused.json()["detail"]
