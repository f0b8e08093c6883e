"""Reviews and own figures over HTTP: they add up, say what is not known, and change nothing."""

import csv
import io

import pytest

from service.demo import demo_document
from service.season.review.document import REVIEW_COLUMNS
from service.web.app import create_app
from tests.web.keeping import Keeping

SYSTEM = "lot_open_rings"
PARTS = ("weather", "price", "practice", "not_split")
FACTS = {
    "system": SYSTEM,
    "ground_days": {"frozen": 8, "snow_covered": 5, "firm": 42, "wet": 76},
    "bales_fed": 640,
    "labor_hours": 200,
    "acres_to_fix": 5.0,
    "prices": {"hay_per_ton": 120},
    "worst_weeks": "<b>two weeks</b> in February",
    "would_do_again": "no",
}


@pytest.fixture
def kept():
    return Keeping(create_app())


@pytest.fixture
def demo(kept):
    scenario = kept.stored(demo_document())
    recorded = kept("PUT", f"/v1/scenarios/{scenario}/winters/2025-26", json=FACTS)
    assert recorded.status_code == 201, recorded.text
    return scenario


def _review(kept, demo, suffix="", season="2025-26", **headers):
    return kept.get(f"/v1/scenarios/{demo}/winters/{season}/review{suffix}", "read", **headers)


def test_every_line_is_the_sum_of_its_parts_to_a_cent(kept, demo):
    body = _review(kept, demo).json()
    for line in (*body["lines"], body["total"]):
        change = line["actual"] - line["planned"]
        assert sum(line[part] for part in PARTS) == pytest.approx(change, abs=0.01)
    assert body["total"]["actual"] > body["total"]["planned"]


def test_hay_that_was_paid_is_bales_times_their_price(kept, demo):
    # 640 bales of 1,050 lb at 120 a ton; the 65 % that the farm makes are worth 20.95 a ton less;
    # the fifth that rots on the ground is in it: 640 bales were put before animals
    body = _review(kept, demo).json()
    lines = {line["line"]: line["actual"] for line in body["lines"]}
    tons = 640 * 1050 / 2000
    put_before = tons * (0.35 * 120 + 0.65 * (120 - 20.95))
    assert lines["hay_eaten"] + lines["hay_wasted"] == pytest.approx(put_before)
    assert lines["hay_lost_in_storage"] == pytest.approx(put_before * 0.2 / 0.8)


def test_three_sentences_come_first_and_what_is_not_known_is_named(kept, demo):
    body = _review(kept, demo).json()
    assert len(body["sentences"]) == 3
    assert {found["fact"] for found in body["unknown"]} >= {"fuel_gallon"}
    assert "Shapley" in body["method"]
    assert not any("Shapley" in sentence for sentence in body["sentences"])


def test_a_review_is_held_against_the_revision_that_was_the_plan(kept, demo):
    before = _review(kept, demo).json()
    changed = kept(
        "PATCH",
        f"/v1/scenarios/{demo}",
        json={"hay": {"price_per_ton": 300}},
        headers={"If-Match": '"1"'},
    )
    assert changed.status_code == 200
    assert _review(kept, demo).json() == before
    assert before["revision"] == 1


def test_a_review_comes_as_a_table_and_as_a_page(kept, demo):
    rows = list(csv.DictReader(io.StringIO(_review(kept, demo, ".csv").text, newline="")))
    assert tuple(rows[0]) == REVIEW_COLUMNS
    total = _review(kept, demo).json()["total"]["actual"]
    assert sum(float(row["actual"]) for row in rows) == pytest.approx(total)
    page = _review(kept, demo, Accept="text/html")
    assert page.headers["content-type"].startswith("text/html")
    assert "&lt;b&gt;two weeks&lt;/b&gt;" in page.text
    assert "Whetstone Hollow Farm" in page.text


def test_a_winter_that_nobody_recorded_has_no_review(kept, demo):
    assert _review(kept, demo, season="2024-25").status_code == 404
    assert _review(kept, demo, season="sometime").status_code in {404, 422}


def test_nothing_recorded_is_no_difference(kept):
    scenario = kept.stored(demo_document())
    kept("PUT", f"/v1/scenarios/{scenario}/winters/2026-27", json={})
    total = _review(kept, scenario, season="2026-27").json()["total"]
    assert [total[part] for part in PARTS] == [0, 0, 0, 0]


def test_own_figures_are_offered_and_nothing_changes_until_they_are_sent(kept, demo):
    address = f"/v1/scenarios/{demo}"
    before = kept.get(f"{address}/costing").json()["content_key"]
    offered = kept.get(f"{address}/own-figures", "read").json()
    kinds = [figure["kind"] for figure in offered["figures"]]
    assert kinds == ["waste", "minutes", "damage"]
    assert kept.get(f"{address}/costing").json()["content_key"] == before
    accepted = kept("PATCH", address, json=offered["patch"], headers={"If-Match": '"1"'})
    assert accepted.status_code == 200, accepted.text
    used = kept.get(f"{address}/costing").json()["inputs_used"]["assumptions"]
    value = offered["figures"][0]["values"][0]
    key = value["path"].removeprefix("assumptions.")
    assert used[key] == pytest.approx(value["own"], rel=1e-3)
    assert value["low"] < value["own"] < value["high"]


def test_own_figures_are_for_the_system_of_the_newest_winter_unless_another_is_named(kept, demo):
    address = f"/v1/scenarios/{demo}/own-figures"
    assert kept.get(address).json() == kept.get(f"{address}?system={SYSTEM}").json()
    paths = [
        value["path"]
        for figure in kept.get(f"{address}?system=pack_barn").json()["figures"]
        for value in figure["values"]
    ]
    assert not any("ring_open" in path for path in paths)
    assert kept.get(f"{address}?system=no_such").status_code == 422


def test_a_farm_without_winters_is_told_so(kept):
    offered = kept.get(f"/v1/scenarios/{kept.stored(demo_document())}/own-figures").json()
    assert offered["patch"] == {}
    assert all(figure["mean_ratio"] is None for figure in offered["figures"])
    assert all(figure["words"] for figure in offered["figures"])


def test_a_read_link_reads_reviews_and_own_figures(kept, demo):
    token = kept.link(demo)
    for path in ("winters/2025-26/review", "own-figures", "winters/2025-26", "winters"):
        assert kept.get(f"/v1/scenarios/{demo}/{path}?token={token}", None).status_code == 200
