"""Risk against costings of each winter by itself, and against distributions known exactly.

Estimates are held to four standard errors; what the theory says of a share, a mean and a linear
cost is common practice, no source.
"""

import json
import threading
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from service.analysis.draws import drawn_winters
from service.analysis.questions import Risk, Vary
from service.analysis.risk import PART_DRAWS, risk
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.costing.comparison import annual
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.margin import farm_margin
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.engine.small_farm import GRASS, UNROLLED, changed
from tests.support.offices import small_document

RESULT = Path(__file__).parents[1] / "data" / "worked_farms" / "worked_farm_result.json"
CLOSE = 1e-9
SURE = 4
PRICE = "hay.price_per_ton"
DRY = {"frozen": 40, "snow_covered": 20, "firm": 62, "wet": 15}
WET = {"frozen": 20, "snow_covered": 10, "firm": 17, "wet": 90}


def subject_of(document):
    return Subject(document, scenario_of(document), scenario_of)


def ask(document, **question):
    """Return the answer for a document; nothing varies but the winters if it is not said."""
    return answered(risk(subject_of(document), Risk(**({"vary": {}} | question))))


def by_system(answer, name):
    return {row["system"]: row[name] for row in answer["systems"]}


def two_winters(dry=1.0, wet=1.0, **dry_winter):
    """Return the worked farm with a dry and a wet winter of some weights."""
    document = small_document()
    document["winter"] = {
        "first_day": "11-20",
        "last_day": "04-05",
        "rain_in": 13.2,
        "rows": [
            {"season": "dry", "ground_days": DRY, "weight": dry, **dry_winter},
            {"season": "wet", "ground_days": WET, "weight": wet},
        ],
    }
    return document


def winter_costs(document):
    """Return what each system costs in each winter of a costing."""
    costing = cost(scenario_of(document))
    return {
        key: system.account.by_winter.value.reshape(-1)[:-1].tolist()
        for key, system in costing.systems.items()
    }


def test_one_winter_and_nothing_varied_is_the_costing():
    """The independent calculation of the worked farm, to its cent."""
    answer = ask(small_document(), draws=50, absolute_risk_aversion=(0.0, 1e-4))
    costing = cost(scenario_of(small_document()))
    published = {
        item["system"]: item["annual_equivalent_cost"]
        for item in json.loads(RESULT.read_text("utf-8"))["systems"]
    }
    for row in answer["systems"]:
        whole = annual(costing.systems[row["system"]])
        assert whole == pytest.approx(published[row["system"]], abs=0.01)
        for name in ("mean", "p05", "p50", "p95", "worst_tenth_mean"):
            assert row[name] == pytest.approx(whole, rel=CLOSE)
        assert row["certainty_equivalents"] == pytest.approx([whole, whole], rel=CLOSE)
        assert row["standard_deviation"] == pytest.approx(0, abs=CLOSE * whole)


def test_the_mean_winter_in_every_draw_is_the_costing_of_one_such_winter():
    document = two_winters(dry=1, wet=3, rain_in=8.0, hay_price_factor=1.2)
    mean = small_document()
    mean["winter"] = {
        "first_day": "11-20",
        "last_day": "04-05",
        "rain_in": (8.0 + 3 * 13.2) / 4,
        "hay_price_factor": (1.2 + 3) / 4,
        "ground_days": {state: (DRY[state] + 3 * WET[state]) / 4 for state in DRY},
    }
    answer = ask(document, draws=3, winters="mean")
    costing = cost(scenario_of(mean))
    for key, found in by_system(answer, "mean").items():
        assert found == pytest.approx(annual(costing.systems[key]), rel=CLOSE)
    assert answer["varied"] == []
    assert by_system(answer, "worst_winter") == dict.fromkeys(costing.systems)


def test_the_mean_winter_keeps_every_recorded_spell():
    """What sizes by rule are worked on is the same mean winter: the last of a costing's rows."""
    document = two_winters(dry=1, wet=3)
    for row, lengths in zip(document["winter"]["rows"], ([8, 2], [2, 1]), strict=True):
        days = row["ground_days"]
        row["spells"] = {
            state: [length * days[state] / sum(lengths) for length in lengths] for state in days
        }
    document["systems"]["bales_and_pad"]["plan"][0]["min_spell_days"] = 10
    costing = cost(scenario_of(document))
    for key, found in by_system(ask(document, draws=3, winters="mean"), "mean").items():
        by_winter = costing.systems[key].account.by_winter.value.reshape(-1)
        assert found == pytest.approx(by_winter[-1], rel=CLOSE)


def test_ten_thousand_draws_of_two_winters_keep_to_what_is_known_of_them():
    """Two points of chance 1/4 and 3/4: mean, deviation, chances and percentiles are exact."""
    document = two_winters(dry=1, wet=3, stockpile_growth_factor=3)
    known = winter_costs(document)
    answer = ask(document, draws=10_000, seed=11)
    error = np.sqrt(0.25 * 0.75 / 10_000)
    cheapest = [min(known, key=lambda key, at=at: known[key][at]) for at in (0, 1)]
    assert cheapest[0] != cheapest[1], "the case would tell nothing of chances"
    chances = by_system(answer, "chance_cheapest")
    assert chances[cheapest[0]] == pytest.approx(0.25, abs=SURE * error)
    assert chances[cheapest[1]] == pytest.approx(0.75, abs=SURE * error)
    assert [item["season"] for item in answer["winters"]] == ["dry", "wet"]
    assert answer["winters"][0]["draws"] == pytest.approx(2_500, abs=SURE * error * 10_000)
    assert sum(item["draws"] for item in answer["winters"]) == 10_000
    for row in answer["systems"]:
        dry, wet = known[row["system"]]
        assert row["mean"] == pytest.approx(
            0.25 * dry + 0.75 * wet, abs=SURE * error * abs(wet - dry)
        )
        low, high = sorted((dry, wet))
        assert row["p05"] == pytest.approx(low, rel=CLOSE)
        assert row["p50"] == pytest.approx(wet, rel=CLOSE)
        assert row["p95"] == pytest.approx(high, rel=CLOSE)
        worst = "dry" if dry > wet else "wet"
        assert row["worst_winter"]["season"] == worst
        assert row["worst_winter"]["mean"] == pytest.approx(high, rel=CLOSE)
        regrets = [known[row["system"]][at] - known[cheapest[at]][at] for at in (0, 1)]
        assert row["largest_regret"] == pytest.approx(max(regrets), rel=CLOSE, abs=1e-6)
        assert row["cheapest_in_winters"] == cheapest.count(row["system"])


def test_cost_that_is_linear_in_a_price_has_the_moments_of_the_price():
    """A linear function of a triangular price: `scipy.stats.triang`, moved and stretched."""
    low, usual, high = 70.0, 90.0, 160.0
    triangle = stats.triang((usual - low) / (high - low), loc=low, scale=high - low)
    vary = {PRICE: Vary(low=low, usual=usual, high=high)}
    answer = ask(small_document(), draws=10_000, vary=vary)
    at_low, at_high = (
        cost(subject_of(small_document()).changed({PRICE: price}).scenario) for price in (low, high)
    )
    for row in answer["systems"]:
        start = annual(at_low.systems[row["system"]])
        slope = (annual(at_high.systems[row["system"]]) - start) / (high - low)
        deviation = slope * triangle.std()
        mean = start + slope * (triangle.mean() - low)
        assert row["mean"] == pytest.approx(mean, abs=SURE * deviation / 100)
        assert row["standard_deviation"] == pytest.approx(deviation, rel=0.03)
        median = start + slope * (triangle.median() - low)
        assert row["p50"] == pytest.approx(median, abs=SURE * 1.25 * deviation / 100)


def test_a_winter_raises_the_price_that_is_drawn():
    document = small_document()
    document["winter"]["hay_price_factor"] = 1.25
    answer = ask(document, draws=2, vary={PRICE: Vary(low=120, usual=120, high=120)})
    dear = cost(subject_of(small_document()).changed({PRICE: 150}).scenario)
    for key, mean in by_system(answer, "mean").items():
        assert mean == pytest.approx(annual(dear.systems[key]), rel=CLOSE)


def demo_answer(**question):
    return ask(demo_document(), **({"draws": 2_000, "vary": None} | question))


def test_chances_add_up_to_one_and_regrets_differ_as_means_do():
    answer = demo_answer()
    assert sum(by_system(answer, "chance_cheapest").values()) == pytest.approx(1, abs=1e-12)
    assert sum(by_system(answer, "cheapest_in_draws").values()) == 2_000
    first, *others = answer["systems"]
    for other in others:
        assert other["mean_regret"] - first["mean_regret"] == pytest.approx(
            other["mean"] - first["mean"], rel=CLOSE
        )
    assert min(by_system(answer, "mean_regret").values()) >= 0


def test_certainty_equivalents_start_at_the_mean_and_rise():
    answer = demo_answer(absolute_risk_aversion=(0.0, 1e-6, 1e-5, 1e-4))
    for row in answer["systems"]:
        found = row["certainty_equivalents"]
        assert found[0] == row["mean"]
        assert found == sorted(found)
        assert found[-1] > row["mean"]


def test_the_demo_varies_its_prices_yields_and_waste():
    answer = demo_answer(draws=10)
    assert answer["varied"][0] == "winter"
    assert {PRICE, "prices.labor_per_hour", "assumptions.hay_waste.ring_open"} <= {
        *answer["varied"]
    }
    assert [item["input"] for item in answer["ranges"]] == answer["varied"][1:]
    assert all(item["low"] <= item["usual"] <= item["high"] for item in answer["ranges"])
    assert all(item["source"] for item in answer["ranges"])
    json.dumps(answer, allow_nan=False)


def test_the_answer_is_the_same_whoever_works_the_parts_and_in_whatever_order():
    question = Risk(
        draws=2 * PART_DRAWS + 5, seed=3, vary={PRICE: Vary(low=80, usual=95, high=130)}
    )
    document = two_winters()
    one = risk(subject_of(document), question)
    assert one.total == 3
    in_order = [one.part(number) for number in range(3)]
    backward = [risk(subject_of(document), question).part(number) for number in (2, 1, 0)][::-1]
    found = {}

    def work_some(numbers):
        for number in numbers:
            found[number] = one.part(number)

    threads = [threading.Thread(target=work_some, args=(own,)) for own in ((0, 2), (1,))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert in_order == backward
    assert in_order == [found[number] for number in range(3)]
    answers = [json.dumps(one.result(parts)) for parts in (in_order, backward)]
    assert answers[0] == answers[1]
    assert ask(document, draws=question.draws, seed=4, vary=question.vary) != json.loads(answers[0])


BUILT_BY_RULE = {"barn"}
"""Has a manure store whose size hangs on the mean winter, which a winter alone has not."""


def test_draws_are_costed_as_the_engine_costs_them_one_at_a_time():
    """Each draw again as a scenario of its own: its winter alone, its values written in."""
    document = two_winters()
    values = {
        PRICE: np.array([100.0, 140.0, 118.0]),
        "prices.labor_per_hour": np.array([15, 25, 19.5]),
    }
    drawn = drawn_winters(scenario_of(document), values, np.array([1, 0]))
    for draw, season in enumerate((WET, DRY)):
        alone = small_document()
        alone["winter"] |= {"ground_days": season}
        own = subject_of(alone).changed({path: float(v[draw]) for path, v in values.items()})
        costing = cost(own.scenario)
        for row, key in enumerate(drawn.systems):
            if key in BUILT_BY_RULE:
                continue
            assert drawn.costs[row, draw] == pytest.approx(annual(costing.systems[key]), rel=CLOSE)


def test_systems_with_different_herds_go_by_farm_margin():
    document = two_winters(dry=1, wet=3)
    margin = {
        "sold_per_head": 0.85,
        "weight_lb": 520,
        "price_per_lb": 2.4,
        "other_costs_per_head": 600,
    }
    document["systems"]["rings"]["margin"] = {"cows": margin}
    document["systems"]["barn"]["herd_change"] = {"cows": {"head": -10, "price_per_head": 1_500}}
    path = "systems.rings.margin.cows.price_per_lb"
    vary = {path: Vary(low=2.4, usual=2.4, high=2.4)}
    answer = ask(document, draws=10_000, vary=vary, absolute_risk_aversion=(0.0, 1e-4))
    assert answer["figure"] == "farm_margin"
    assert any("farm margin" in sentence for sentence in answer["warnings"])
    costing = cost(scenario_of(document))
    for row in answer["systems"]:
        spread = row["farm_margin"]["standard_deviation"]
        mean = farm_margin(costing, row["system"])
        assert row["farm_margin"]["mean"] == pytest.approx(mean, abs=SURE * spread / 100 + 1e-6)
        sure, averse = row["farm_margin"]["certainty_equivalents"]
        assert averse <= sure == pytest.approx(row["farm_margin"]["mean"])
    ranked = sorted(answer["systems"], key=lambda row: -row["farm_margin"]["mean"])
    assert ranked[0]["mean_regret"] == min(by_system(answer, "mean_regret").values())


GROWTH = "assumptions.stockpile.growth_lb_dm_per_acre_day"


def grass_alone():
    """Return a farm with a system that has just enough grass as things usually are."""
    systems = {
        "one": {"plan": [GRASS | {"acres": 10}, UNROLLED], "structures": {}},
        "grass": {"plan": [GRASS], "structures": {}},
    }
    return changed() | {"systems": systems}


def test_a_system_that_leaves_animals_unfed_never_wins_silently():
    plenty = ask(grass_alone(), draws=10)
    assert by_system(plenty, "short_draws") == {"one": 0, "grass": 0}
    assert plenty["warnings"] == ["The scenario has one winter, so winters do not differ."]
    answer = ask(grass_alone(), draws=10, vary={GROWTH: Vary(low=1, usual=1, high=1)})
    assert by_system(answer, "short_draws") == {"one": 0, "grass": 10}
    assert by_system(answer, "mean")["grass"] < by_system(answer, "mean")["one"]
    assert by_system(answer, "cheapest_in_draws") == {"one": 10, "grass": 0}
    assert answer["dominance"] == []
    assert any("grass leaves animals" in sentence for sentence in answer["warnings"])


def test_draws_that_come_to_no_number_are_refused(monkeypatch):
    def broken(scenario, varied, picked):
        drawn = drawn_winters(scenario, varied, picked)
        drawn.costs[0, -1] = np.inf
        return drawn

    monkeypatch.setattr("service.analysis.risk.drawn_winters", broken)
    with pytest.raises(InputError, match="cannot be costed"):
        ask(small_document(), draws=5)


def test_an_aversion_beyond_all_reason_is_said():
    answer = ask(two_winters(), draws=100, absolute_risk_aversion=(1e-9, 10.0))
    assert any("aversion of 10 per" in sentence for sentence in answer["warnings"])
    assert not any("per USD" in said for said in ask(two_winters(), draws=100)["warnings"])


def test_that_nothing_can_vary_is_said():
    answer = ask(small_document(), draws=5, vary=None)
    assert answer["ranges"] == []
    assert any("has a range" in sentence for sentence in answer["warnings"])
    assert any("one winter" in sentence for sentence in answer["warnings"])


def a_vary(low=80.0, usual=90.0, high=100.0):
    return Vary(low=low, usual=usual, high=high)


@pytest.mark.parametrize(
    ("question", "place", "said"),
    [
        ({"draws": 0}, "draws", "1,000,000"),
        ({"draws": 1_000_001}, "draws", "1,000,000"),
        ({"draws": True}, "draws", "whole"),
        ({"seed": -1}, "seed", "whole"),
        ({"seed": 2**53}, "seed", "whole"),
        ({"seed": 1.5}, "seed", "whole"),
        ({"winters": "row"}, "winters", "rows"),
        ({"absolute_risk_aversion": (1.0, -1e-9)}, "absolute_risk_aversion.2", "0"),
        ({"absolute_risk_aversion": (float("nan"),)}, "absolute_risk_aversion.1", "0"),
        ({"absolute_risk_aversion": (0.1,) * 21}, "absolute_risk_aversion", "20"),
        ({"vary": {PRICE: a_vary(low=95.0)}}, f"vary.{PRICE}", "low"),
        ({"vary": {PRICE: a_vary(high=float("inf"))}}, f"vary.{PRICE}", "numbers"),
        ({"vary": {PRICE: a_vary(low=-1.0)}}, f"vary.{PRICE}.low", "0"),
        ({"vary": {PRICE: a_vary(high=9e9)}}, f"vary.{PRICE}.high", "5,000"),
        ({"vary": {"hay.prize_per_ton": a_vary()}}, "vary.hay.prize_per_ton", "price_per_ton"),
        ({"vary": {"winter.rain_in": a_vary()}}, "vary.winter.rain_in", "whole"),
        ({"vary": {"finance.horizon_years": a_vary()}}, "vary.finance.horizon_years", "sens"),
        ({"vary": {"hay.storage": a_vary()}}, "vary.hay.storage", "number"),
        ({"vary": {"limits.acres_to_fix": a_vary()}}, "vary.limits.acres_to_fix", "No system"),
        ({"vary": {f"x{i}": a_vary() for i in range(61)}}, "vary", "60"),
    ],
)
def test_a_question_that_cannot_be_asked_is_refused(question, place, said):
    with pytest.raises(InputError) as caught:
        ask(small_document(), **question)
    faults = {fault.input: fault for fault in caught.value.faults}
    assert place in faults
    assert said in faults[place].detail + str(faults[place].allowed)


def test_every_fault_is_told_at_once():
    with pytest.raises(InputError) as caught:
        ask(small_document(), draws=0, seed=-1, vary={PRICE: a_vary(low=95.0)})
    assert [fault.input for fault in caught.value.faults] == ["draws", "seed", f"vary.{PRICE}"]
