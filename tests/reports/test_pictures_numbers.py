"""The numbers in each picture are those of the costing."""

import re
from copy import deepcopy

import pytest

from service.analysis.questions import Sensitivity, WinterTypes
from service.analysis.sensitivity import sensitivity
from service.analysis.winter_types import winter_types
from service.analysis.work import answered
from service.costing.errors import InputError
from service.costing.lines import GROUPS, LINES
from service.demo import demo_document
from service.reports.pictures import picture
from service.reports.pictures.looks import AT_HIGH, STATES, SYSTEMS, WITH
from service.reports.pictures.looks import GROUPS as GROUP_LOOKS
from service.reports.pictures.looks import HAY as HAY_LOOKS
from service.reports.pictures.looks import SEVERITIES as SEVERITY_LOOKS
from service.reports.pictures.swings import range_of
from tests.analysis.two_systems import subject_of
from tests.reports.pictures_read import (
    along_hay_price,
    costed,
    demo,
    seen,
    swinging,
    system_of,
)

BASELINE = "lot_open_rings"
SHOWN = [BASELINE, *(key for key in demo_document()["systems"] if key != BASELINE)]


def hundreds(amount):
    return f"{round(amount / 100) * 100:,}"


def amount_in(text):
    return float(text.replace(",", ""))


def in_order(body):
    """Return the systems as they are shown: today's first, then by rank."""
    return sorted(body["systems"], key=lambda item: (item["system"] != BASELINE, item["rank"]))


def sum_of(item, group, sign):
    amounts = [
        line["annual_equivalent"] for line in item["lines"] if LINES[line["line"]].group == group
    ]
    return sum(amount for amount in amounts if amount * sign > 0)


def test_bars_are_as_long_as_what_they_stand_for():
    body = demo()
    found = seen("cost_by_group", body)
    for group in GROUPS:
        look = GROUP_LOOKS[group]
        drawn = sorted(
            long
            for _, _, long, high in found.boxes(look.shade, hatched=bool(look.hatch))[1:]
            if high == pytest.approx(17, abs=0.02)
        )
        meant = sorted(
            abs(sum_of(item, group, sign))
            for item in body["systems"]
            for sign in (1, -1)
            if sum_of(item, group, sign)
        )
        assert len(drawn) == len(meant)
        unit = sum(drawn) / sum(meant)
        assert drawn == pytest.approx([unit * amount for amount in meant], abs=0.05)


def test_what_comes_back_is_drawn_left_of_nought():
    body = demo()
    roof = system_of(body, "roofed_pad")
    found = seen("cost_by_group", body)
    look = GROUP_LOOKS["things_built"]
    nought = min(x for x, _, _, _ in found.boxes(GROUP_LOOKS["hay"].shade)[1:])
    left = [box for box in found.boxes(look.shade, hatched=True) if box[0] + box[2] <= nought + 0.1]
    assert len([box for box in left if box[3] == pytest.approx(17, abs=0.02)]) == 1
    assert hundreds(sum_of(roof, "things_built", -1)) in found.texts
    assert any("comes back" in text for text in found.texts)


def test_each_system_shows_what_it_costs_and_today_comes_first():
    body = demo()
    found = seen("cost_by_group", body)
    order = in_order(body)
    titles = [text for text in found.texts if text in {item["title"] for item in order}]
    assert titles == [item["title"] for item in order]
    for item in order:
        cost = hundreds(item["annual_equivalent_cost"])
        assert found.texts[found.texts.index(item["title"]) + 1] == cost
        assert (
            f"{item['title']}: {cost} a year (hay {hundreds(sum_of(item, 'hay', 1))}, "
            in found.told
        )


def test_the_winters_named_are_those_of_the_question_on_types_of_winters():
    document = demo_document()
    asked = answered(winter_types(subject_of(document), WinterTypes()))
    by_type = {item["type"]: item["season"] for item in asked["winters"]}
    found = seen("winters", costed(document))
    assert f"D: driest, {by_type['driest']}" in found.texts
    assert f"W: wettest, {by_type['wettest']}" in found.texts
    assert f"A: after the driest autumn, {by_type['driest_autumn']}" in found.texts


def test_each_winter_has_its_days_of_each_ground():
    rows = demo_document()["winter"]["rows"]
    found = seen("winters")
    for row in rows:
        assert row["season"] in found.texts
    for state, look in STATES.items():
        boxes = [box for box in found.boxes(look.shade, hatched=bool(look.hatch)) if box[2] > 20]
        high = [tall for _, _, _, tall in sorted(boxes)]
        assert high == pytest.approx(
            [row["ground_days"][state] * 110 / 132 for row in rows], abs=0.05
        )
    wet = [text for text in found.texts if text in {str(row["ground_days"]["wet"]) for row in rows}]
    assert wet == [str(row["ground_days"]["wet"]) for row in rows]


def test_dots_are_as_high_as_what_each_winter_cost():
    body = demo()
    found = seen("winters", body)
    ticks = {
        amount_in(item.text): float(item.get("y")) - 4
        for item in found.root.iter("{http://www.w3.org/2000/svg}text")
        if re.fullmatch(r"\d\d,000", item.text or "")
    }
    low, high = min(ticks), max(ticks)
    for look, item in zip(SYSTEMS, in_order(body), strict=False):
        places = (
            sorted(found.marks(look.shade))[-12:] if look.marker != "o" else found.marks(look.shade)
        )
        dots = sorted(place for place in places if place[1] < ticks[low] + 1)[-12:]
        costs = [
            low + (ticks[low] - y) / (ticks[low] - ticks[high]) * (high - low) for _, y in dots
        ]
        assert costs == pytest.approx(
            [row["annual_equivalent_cost"] for row in item["by_winter"]], abs=20
        )


def test_a_farm_without_rows_has_one_winter_and_none_is_named():
    document = demo_document()
    del document["winter"]["rows"]
    document["winter"]["ground_days"] = {"frozen": 20, "snow_covered": 11, "firm": 50, "wet": 50}
    found = seen("winters", costed(document))
    assert "50" in found.texts
    assert not any(text.startswith(("D:", "W:", "A:")) for text in found.texts)


def test_of_many_winters_the_last_are_drawn_and_that_is_said():
    document = demo_document()
    rows = document["winter"]["rows"]
    document["winter"]["rows"] = [
        rows[number % 12] | {"season": f"{1960 + number}-{(61 + number) % 100:02d}"}
        for number in range(60)
    ]
    found = seen("winters", costed(document))
    assert "The last 40 of 60 winters are drawn." in found.texts
    assert "2019-20" in found.texts
    assert found.told.startswith("60 winters")
    assert len(found.text.encode()) < 60_000


@pytest.mark.parametrize("key", SHOWN)
def test_bales_add_up_from_store_to_mouth(key):
    body = demo()
    quantities = system_of(body, key)["quantities"]
    found = seen("bale_flow", body, {"system": key})
    bale = 1_050 * 0.87 / 2_000
    stored = quantities["bales"]["needed_mean"]
    rotted = quantities["hay_lost_in_storage_ton_dm"] / bale
    wasted = quantities["hay_wasted_ton_dm"] / bale
    eaten = quantities["hay_eaten_ton_dm"] / bale
    assert stored == pytest.approx(rotted + wasted + eaten)
    for text in (
        f"{stored:,.0f}",
        f"{stored - rotted:,.0f}",
        f"{eaten:,.0f}",
        "355",
        f"{quantities['bales']['short_mean']:,.0f}",
        f"{rotted:,.0f} rot",
        f"{wasted:,.0f} trampled",
    ):
        assert text in found.texts
    blocks = [box for box in found.boxes(HAY_LOOKS["block"].shade) if box[2] < 20]
    assert [high for *_, high in sorted(blocks)] == pytest.approx(
        [150, 150 * (stored - rotted) / stored, 150 * eaten / stored], abs=0.05
    )


def test_the_flow_is_that_of_the_baseline_unless_a_system_is_named():
    body = demo()
    assert "Today: rings on the Barn Lot" in seen("bale_flow", body, {}).texts
    assert "Big rock pad, no roof" in seen("bale_flow", body, {"system": "rock_pad"}).texts


def test_without_bales_on_hand_hay_is_made_or_bought_by_its_share():
    document = demo_document()
    document["hay"].update(bales_on_hand=0, home_grown_fraction=0.25)
    body = costed(document)
    needed = system_of(body, BASELINE)["quantities"]["bales"]["needed_mean"]
    found = seen("bale_flow", body, {})
    assert found.texts[found.texts.index("made") + 1] == f"{needed * 0.25:,.0f}"
    assert found.texts[found.texts.index("bought") + 1] == f"{needed * 0.75:,.0f}"


def test_bales_to_spare_are_told_and_nothing_is_still_to_get():
    document = demo_document()
    document["hay"]["bales_on_hand"] = 700
    body = costed(document)
    spare = system_of(body, BASELINE)["quantities"]["bales"]["spare_mean"]
    found = seen("bale_flow", body, {})
    assert f"{spare:,.0f} on hand are spare." in found.told
    assert "still to get" not in found.texts


def test_squares_cover_the_acres_to_repair():
    body = demo()
    found = seen("acres_to_fix", body)
    for name, look in SEVERITY_LOOKS.items():
        drawn = [
            long / 11 * 0.25
            for _, top, long, high in found.boxes(look.shade, hatched=bool(look.hatch))
            if high == pytest.approx(11, abs=0.02) and top > 80
        ]
        meant = sum(item["quantities"]["acres_damaged"][name] for item in body["systems"])
        assert sum(drawn) == pytest.approx(meant, abs=0.25 / 11 * 7)
    for item in body["systems"]:
        acres = sum(item["quantities"]["acres_damaged"].values())
        assert found.texts[found.texts.index(item["title"]) + 1] == f"{acres:.1f} acres"


def test_a_square_stands_for_more_where_acres_are_many():
    body = demo()
    for item in body["systems"]:
        item["quantities"]["acres_damaged"] = {"light": 10.0, "moderate": 20.0, "severe": 60.0}
    found = seen("acres_to_fix", body)
    assert "One square is 1 acre." in found.texts
    assert "90.0 acres" in found.texts


@pytest.mark.parametrize("key", SHOWN)
def test_cash_of_the_years_is_what_the_costing_says_of_the_first_and_the_worst(key):
    item = system_of(demo(), key)
    found = seen("cash_by_year", demo(), {"system": key})
    worst = hundreds(item["peak_yearly_cash"])
    assert any(re.fullmatch(rf"worst: year \d+, {worst}", text) for text in found.texts)
    assert "off a little" not in found.words()
    bars = sorted(box for box in found.boxes(WITH.shade) if box[0] > 55 and box[1] > 90)
    assert len(bars) == 16
    unit = max(high for *_, high in bars) / max(
        item["peak_yearly_cash"], abs(min(paid_from_bars(bars, item["peak_yearly_cash"])))
    )
    paid = [high / unit for *_, high in bars]
    first = paid[0] + paid[1] * (-1 if key == "roofed_pad" else 1)
    assert first == pytest.approx(item["first_year_cash"], abs=900)


def paid_from_bars(bars, peak):
    """Return the cash of each year without its sign, by the bar of the worst year."""
    tallest = max(high for *_, high in bars)
    return [high / tallest * peak for *_, high in bars]


def test_without_cost_share_the_worst_year_is_that_of_the_costing():
    item = system_of(demo(), "roofed_pad")
    found = seen("cash_by_year")
    without = item["without_cost_share_figures"]
    share = sum(structure["cost_share"] for structure in item["structures"])
    assert {"With cost-share", "Without cost-share"} <= set(found.texts)
    assert f"with {hundreds(without['peak_yearly_cash'])}, and {hundreds(share)} more" in found.told


def test_a_system_without_cost_share_has_one_bar_a_year():
    found = seen("cash_by_year", demo(), {"system": "rock_pad"})
    assert "Cash paid" in found.texts
    assert "Without cost-share" not in found.texts


def test_cash_that_the_costing_tells_by_year_is_drawn_as_told():
    body = demo()
    item = system_of(body, "rock_pad")
    item["paid_by_year"] = [100.0, 7_000.0, 300.0]
    item["first_year_cash"], item["peak_yearly_cash"] = 7_100.0, 7_000.0
    for line in item["lines"]:
        line["by_year"] = line["by_year"][:3]
    found = seen("cash_by_year", body, {"system": "rock_pad"})
    assert "worst: year 1, 7,000" in found.texts


def test_a_split_that_is_not_exact_is_said_to_be_so():
    document = demo_document()
    document["finance"]["real_escalation"] = {"labor": 0.03}
    body = costed(document)
    del system_of(body, "pack_barn")["paid_by_year"]  # as in a costing stored before it was told
    found = seen("cash_by_year", body, {"system": "pack_barn"})
    assert "off a little" in found.words()


def test_crossings_are_marked_where_the_lines_meet():
    found = seen("cost_against_hay_price")
    told = "At 100 USD a ton Today: rings on the Barn Lot; Shut 44 acres, graze first, lot after"
    assert f"{told} cost the same, 30,000 a year." in found.told
    assert {"1", "2", "costed at 98"} <= set(found.texts)
    rings = [
        item
        for item in found.root.iter("{http://www.w3.org/2000/svg}path")
        if item.get("fill") == "none" and " C " in f" {item.get('d')} "
    ]
    middles = []
    for item in rings:
        numbers = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", item.get("d"))]
        across, down = numbers[::2], numbers[1::2]
        middles.append(((min(across) + max(across)) / 2, (min(down) + max(down)) / 2))
    today = [place for place in found.marks(SYSTEMS[0].shade) if place[0] > 50]
    on_today = [today[1], today[2]]
    for middle, place in zip(middles, on_today, strict=True):
        assert middle == pytest.approx(place, abs=0.05)


def test_systems_without_costs_along_the_price_are_not_drawn():
    found = seen("cost_against_hay_price")
    assert "Big rock pad, no roof" in found.texts
    assert "Hoop barn with bedded pack" not in found.texts


@pytest.mark.parametrize(
    ("change", "inputs"),
    [
        ({"prices": None}, ["prices"]),
        ({"prices": [1]}, ["prices"]),
        ({"prices": [50, 40, 60, 70]}, ["prices"]),
        ({"prices": ["1", 2, 3, 4]}, ["prices"]),
        ({"costs": {}}, ["costs"]),
        ({"costs": {"rock_pad": [1, 2, 3]}}, ["costs.rock_pad"]),
        ({"costs": {"rock_pad": [1, 2, 3, float("nan")]}}, ["costs.rock_pad"]),
        ({"costs": {"barn": [1, 2, 3, 4]}}, ["costs"]),
        ({"crossings": [{"value": 1}]}, ["crossings"]),
        ({"prices": [], "costs": {}, "crossings": 3}, ["prices", "costs", "crossings"]),
    ],
)
def test_wrong_lines_are_refused_with_every_fault(change, inputs):
    body = demo()
    with pytest.raises(InputError) as raised:
        picture("cost_against_hay_price", body, along_hay_price(body) | change)
    assert [fault.input for fault in raised.value.faults] == inputs


def test_swings_are_those_of_the_question():
    document = demo_document()
    answer = answered(sensitivity(subject_of(document), Sensitivity()))
    found = seen("swings", costed(document), answer)
    for row in answer["rows"][:8]:
        assert hundreds(row["at_low"]) in found.texts
        assert hundreds(row["at_high"]) in found.texts
        assert any(text.startswith(row["meaning"].rstrip(".")[:20]) for text in found.texts)
    assert f"{hundreds(answer['base'])} as things stand" in found.words()
    assert "Same lot, better feeders, hay kept dry" in found.texts


def test_eight_bars_are_drawn_as_long_as_they_swing():
    found = seen("swings")
    rows = swinging()["rows"][:8]
    bars = [long for _, top, long, high in found.boxes(AT_HIGH.shade) if high > 12]
    meant = [row["at_high"] - 31_000 for row in rows]
    assert bars == pytest.approx([amount * bars[0] / meant[0] for amount in meant], abs=0.05)
    assert sum(text.startswith("Hay not eaten") for text in found.texts) == 8


def test_an_input_that_changes_the_best_has_a_star():
    found = seen("swings")
    assert "Hay not eaten 1 *" in found.texts
    assert any(text.startswith("* With it") for text in found.texts)


def test_ranges_read_as_people_say_them():
    assert range_of({"low": 0.045, "high": 0.16, "unit": "fraction"}) == "4.5 to 16 %"
    assert range_of({"low": 8, "high": 40, "unit": "minute"}) == "8 to 40 minutes"
    assert range_of({"low": 73.5, "high": 147, "unit": "USD/ton"}) == "73.5 to 147 USD/ton"


@pytest.mark.parametrize(
    ("change", "inputs"),
    [
        ({"rows": None}, ["rows"]),
        ({"rows": []}, ["rows"]),
        ({"rows": [3]}, ["rows.0"]),
        ({"base": "31000"}, ["base"]),
        ({"system": "nowhere"}, ["system"]),
    ],
)
def test_a_wrong_answer_is_refused(change, inputs):
    with pytest.raises(InputError) as raised:
        picture("swings", demo(), swinging() | change)
    assert [fault.input for fault in raised.value.faults] == inputs


def test_every_fault_of_a_row_is_told():
    wrong = deepcopy(swinging())
    del wrong["rows"][0]["at_low"]
    wrong["rows"][2]["high"] = float("inf")
    wrong["rows"][3]["meaning"] = None
    with pytest.raises(InputError) as raised:
        picture("swings", demo(), wrong)
    assert [fault.input for fault in raised.value.faults] == [
        "rows.0.at_low",
        "rows.2.high",
        "rows.3.meaning",
    ]
