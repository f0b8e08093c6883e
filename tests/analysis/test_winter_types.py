"""Winters by type, against winters costed one by one and against the costing of them all.

That the mean of winters by weight is the costing's own figure is how the costing is defined; the
order of the demo farm's winters is read off its table by hand. Winters are invented.
"""

import copy
import json

import numpy as np
import pytest

from service.analysis.questions import WinterTypes
from service.analysis.winter_types import FIGURES, figure_by_winter, winter_types
from service.analysis.work import answered
from service.costing.comparison import annual, lines_of, standings_of
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.lines import LINES
from service.costing.margin import farm_margin
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.analysis.hand_farm import asked_of, hand_farm
from tests.support import situations as of
from tests.support.offices import small_document

CLOSE = 1e-9
LINE_FIGURES = [f"lines.{line}" for line in LINES]


def ask(document, figure="annual_equivalent_cost", **more):
    """Return the answer for a document."""
    return answered(winter_types(asked_of(document, **more), WinterTypes(figure=figure)))


def seasons(answer):
    return {item["type"]: item["season"] for item in answer["winters"]}


def days(wet, frozen=0.0, snow_covered=0.0):
    """Return a winter of a hundred days."""
    firm = 100 - wet - frozen - snow_covered
    return {"frozen": frozen, "snow_covered": snow_covered, "firm": firm, "wet": wet}


def with_winters(**winters):
    """Return the hand-worked farm with winters of some ground days, by season."""
    document = hand_farm()
    del document["winter"]["ground_days"]
    document["winter"]["rows"] = [
        {"season": season, "ground_days": found} for season, found in winters.items()
    ]
    return document


def own_figure(costing, key, figure):
    """Return a figure of a system as its costing has it."""
    system = costing.systems[key]
    if figure == "annual_equivalent_cost":
        return annual(system)
    if figure == "out_of_pocket":
        return float(np.ravel(system.account.out_of_pocket.value)[0])
    return lines_of(system)[figure.removeprefix("lines.")]


def test_the_demo_farms_winters_fall_into_types_as_read_off_its_table():
    # wet days, least first: 37 (46 frozen and snow), 37 (36), 41, 42, 43, 44 (25), 44 (9), 46,
    # 57, 59, 69, 76; the sixth of twelve is 2025-26; autumn growth is least, 0.35, in 2022-23
    assert seasons(ask(demo_document())) == {
        "driest": "2014-15",
        "median": "2025-26",
        "wettest": "2019-20",
        "driest_autumn": "2022-23",
    }


def test_of_winters_equally_wet_more_frozen_and_snow_covered_days_are_drier():
    found = seasons(
        ask(with_winters(a=days(40, frozen=5), b=days(40, 10, 10), c=days(40, snow_covered=12)))
    )
    assert (found["driest"], found["median"], found["wettest"]) == ("b", "c", "a")


def test_of_winters_alike_the_earlier_season_comes_first():
    found = seasons(ask(with_winters(c=days(40), a=days(40), b=days(40))))
    assert (found["driest"], found["median"], found["wettest"]) == ("a", "b", "c")


def test_of_an_even_number_the_median_is_the_drier_of_the_two_in_the_middle():
    winters = {name: days(wet) for name, wet in (("a", 60), ("b", 20), ("c", 50), ("d", 30))}
    assert seasons(ask(with_winters(**winters)))["median"] == "d"


def test_each_type_carries_its_days_and_weight_and_says_why_it_was_taken():
    document = of.farm()
    for item in ask(document)["winters"]:
        row = next(row for row in document["winter"]["rows"] if row["season"] == item["season"])
        assert item["ground_days"] == row["ground_days"]
        assert item["weight"] == row["weight"]
        assert item["rule"]


@pytest.mark.parametrize("figure", FIGURES)
@pytest.mark.parametrize("document", [of.farm, small_document, demo_document])
def test_the_mean_of_the_winters_by_weight_is_the_costings_own_figure(document, figure):
    costing = cost(scenario_of(document()))
    weight = costing.winters.weight.value[:-1]
    for key, system in costing.systems.items():
        by_winter = figure_by_winter(costing, system, figure)
        assert by_winter.shape == weight.shape
        mean = float(np.average(by_winter, weights=weight))
        assert mean == pytest.approx(own_figure(costing, key, figure), rel=CLOSE, abs=1e-9), key


@pytest.mark.parametrize("figure", ["annual_equivalent_cost", "out_of_pocket", *LINE_FIGURES])
def test_a_winter_costs_what_it_does_in_a_scenario_of_its_own(figure):
    # of systems whose structures are not sized by the winters
    document = of.farm({key: of.all_systems()[key] for key in ("lot", "grass", "bales")})
    answer = ask(document, figure)
    for item in answer["winters"]:
        alone = copy.deepcopy(document)
        alone["winter"]["rows"] = [
            row for row in document["winter"]["rows"] if row["season"] == item["season"]
        ]
        costing = cost(scenario_of(alone))
        for found in item["systems"]:
            expected = own_figure(costing, found["system"], figure)
            assert found["value"] == pytest.approx(expected, rel=CLOSE, abs=1e-9)


def test_lines_add_up_to_the_whole_in_every_winter():
    costing = cost(scenario_of(of.farm()))
    for key, system in costing.systems.items():
        parts = sum(figure_by_winter(costing, system, figure) for figure in LINE_FIGURES)
        whole = figure_by_winter(costing, system, "annual_equivalent_cost")
        assert parts == pytest.approx(whole, rel=CLOSE), key


def test_systems_stand_from_the_cheapest_to_the_dearest():
    for item in ask(demo_document())["winters"]:
        values = [found["value"] for found in item["systems"]]
        assert values == sorted(values)
        assert [found["rank"] for found in item["systems"]] == list(range(1, 8))


def test_the_first_place_changes_with_the_winter():
    # 50 lb of nitrogen on 40 acres cost 40 x $20 to spread; 40 head on hay cost 6,000, and half
    # as much again in the dry year, in which no grass grows
    document = with_winters(usual=days(40), dry=days(30))
    document["winter"]["rows"][1] |= {"stockpile_growth_factor": 0, "hay_price_factor": 1.5}
    document["systems"]["grass"]["plan"][0]["nitrogen_lb_per_acre"] = 50
    document["assumptions"]["stockpile.spreading_cost_per_acre"] = 20
    found = {
        item["type"]: {entry["system"]: entry["value"] for entry in item["systems"]}
        for item in ask(document)["winters"]
    }
    assert list(found["wettest"]) == ["grass", "hay"]
    assert found["wettest"] == pytest.approx({"grass": 1600 + 800, "hay": 6000})
    assert list(found["driest_autumn"]) == ["hay", "grass"]
    assert found["driest_autumn"] == pytest.approx({"hay": 9000, "grass": 9000 + 800})


def test_equal_values_share_a_rank():
    # two systems that buy no bedding, and a barn that does
    document = of.farm({key: of.all_systems()[key] for key in ("barn", "lot", "grass")})
    for item in ask(document, "lines.bedding")["winters"]:
        ranks = {found["system"]: found["rank"] for found in item["systems"]}
        assert ranks == {"lot": 1, "grass": 1, "barn": 3}


def differing_herds():
    """Return the hand-worked farm where grass goes with half the herd."""
    sold = {"herd_change": {"cows": {"head": -20, "price_per_head": 0}}}
    document = with_winters(a=days(30), b=days(50), c=days(40))
    document["systems"]["grass"] |= sold
    document["systems"]["hay"]["margin"]["cows"]["price_per_lb"] = 3
    return document


def test_where_herds_differ_systems_are_ranked_by_farm_margin():
    # a cow earns 500 before winter: forty on hay leave 40 x 350 = 14,000, twenty on grass
    # 20 x 500 - 1,600 = 8,400, though their winter is the cheaper one
    document = differing_herds()
    answer = ask(document)
    assert answer["ranked_by"] == "farm_margin"
    assert any("farm margin" in warning for warning in answer["warnings"])
    for item in answer["winters"]:
        found = [(entry["system"], entry["rank"], entry["value"]) for entry in item["systems"]]
        assert found == [("hay", 1, pytest.approx(6000)), ("grass", 2, pytest.approx(1600))]
    costing = cost(scenario_of(document))
    assert farm_margin(costing, "hay") == pytest.approx(14_000)
    assert farm_margin(costing, "grass") == pytest.approx(8_400)
    assert standings_of(costing)["hay"].rank == 1


def test_where_herds_are_alike_systems_are_ranked_by_the_figure_asked_for():
    assert ask(of.farm(), "lines.labor")["ranked_by"] == "lines.labor"


# The driest autumn.


def test_the_driest_autumn_is_that_of_least_growth():
    document = with_winters(a=days(30), b=days(50), c=days(40))
    document["winter"]["stockpile_growth_factor"] = 0.6
    document["winter"]["rows"][0]["stockpile_growth_factor"] = 1.0
    document["winter"]["rows"][1]["stockpile_growth_factor"] = 0.7
    assert seasons(ask(document))["driest_autumn"] == "c"  # it takes the 0.6 of the winter


def test_where_growth_is_the_same_the_rain_of_the_autumn_decides():
    document = with_winters(a=days(30), b=days(50), c=days(40))
    rain = {"a": 9.0, "b": 4.5, "c": 7.0}
    assert seasons(ask(document, autumn_rain_in=rain))["driest_autumn"] == "b"
    alike = {"a": 4.0, "b": 4.0, "c": 7.0}
    assert seasons(ask(document, autumn_rain_in=alike))["driest_autumn"] == "a"


@pytest.mark.parametrize("rain", [{}, {"a": 9.0, "b": 4.5}])
def test_where_autumns_cannot_be_told_apart_the_type_is_left_out_and_said(rain):
    answer = ask(with_winters(a=days(30), b=days(50), c=days(40)), autumn_rain_in=rain)
    assert list(seasons(answer)) == ["driest", "median", "wettest"]
    assert any("left out" in warning for warning in answer["warnings"])


# Few winters.


def test_one_winter_is_every_type_and_that_is_said():
    answer = ask(hand_farm())
    assert len(answer["winters"]) == 4
    assert len({item["season"] for item in answer["winters"]}) == 1
    assert answer["warnings"] == ["There is one winter, so every type is that one."]
    for item in answer["winters"]:
        assert [found["system"] for found in item["systems"]] == ["grass", "hay"]


def test_of_two_winters_the_median_is_the_driest_and_that_is_said():
    answer = ask(with_winters(a=days(30), b=days(50)))
    assert seasons(answer)["median"] == seasons(answer)["driest"] == "a"
    assert any("two winters" in warning for warning in answer["warnings"])


def test_winters_equally_wet_are_said_to_be_so():
    answer = ask(with_winters(a=days(40, 3), b=days(40, 7), c=days(40)))
    assert any("same wet days" in warning for warning in answer["warnings"])


# Bad input.


@pytest.mark.parametrize(
    ("figure", "suggestion", "words"),
    [
        ("lines.hay_eatn", "lines.hay_eaten", "is no figure"),
        ("out_of_pockets", "out_of_pocket", "is no figure"),
        ("net_present_cost", None, "not worked for each winter"),
        ("zzz", None, "is no figure"),
    ],
)
def test_an_unknown_figure_is_refused_with_the_nearest(figure, suggestion, words):
    with pytest.raises(InputError) as caught:
        winter_types(asked_of(hand_farm()), WinterTypes(figure=figure))
    (fault,) = caught.value.faults
    assert fault.input == "figure"
    assert words in fault.detail
    if suggestion:
        assert fault.suggestion == suggestion


def test_the_answer_is_plain_json_and_the_same_each_time():
    first, second = (json.dumps(ask(of.farm()), allow_nan=False) for _ in range(2))
    assert first == second
