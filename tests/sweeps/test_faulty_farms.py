"""A farm that cannot be costed is a row that says so, and never costs another its row."""

import logging
import math

import pytest

from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.overrides import with_settings
from service.sweeps.chunk import chunk_payload, failed_chunk, run_chunk
from service.sweeps.records import FarmRow, SweepSpec
from service.web.reading import scenario_of
from tests.analysis.hand_farm import HAY, hand_farm
from tests.sweeps.farms import by_hand, read_back, rows

HEAD, PRICE = "herd.cows.head", "hay.price_per_ton"
GOOD = FarmRow("good", {HEAD: 40})
COST = "annual_equivalent_cost"


def said(document, settings):
    """Return the first sentence about a farm that is costed on its own."""
    with pytest.raises(InputError) as refused:
        cost(scenario_of(with_settings(document, settings)))
    return refused.value.faults[0].detail


@pytest.mark.parametrize(
    "settings",
    [
        {HEAD: -3},
        {HEAD: "many"},
        {HEAD: [40]},
        {HEAD: {"cows": 40}},
        {HEAD: None},
        {HEAD: True},
        {HEAD: 10**30},
        {"herd.cows.heads": 40},
        {"herd": 40},
        {"systems.hay.plan.sacrifice_lot.field": "nowhere"},
        {"assumptions.intake.beef_cow.maintenance.average": -1},
        {f"assumptions.made_up.{number}": 1 for number in range(61)},
    ],
)
def test_a_faulty_farm_is_one_row_with_the_first_sentence(settings):
    spec = by_hand(GOOD, FarmRow("bad", settings), FarmRow("good too", {HEAD: 50}))
    result = run_chunk(chunk_payload(spec, 1), scenario_of)
    found = read_back(spec, result.csv)
    assert [row["external_id"] for row in found] == ["good"] * 2 + ["bad"] + ["good too"] * 2
    bad = found[2]
    sent = {
        path: float(v) if isinstance(v, int) and v > 2**63 else v for path, v in settings.items()
    }
    assert bad["problem"] == said(spec.document, sent)
    assert bad["status"] == "refused"
    assert bad["system"] == bad[COST] == ""
    assert (result.rows, result.failed) == (5, 1)
    assert [(item["row"], item["external_id"]) for item in result.problems] == [(2, "bad")]
    assert float(found[0][COST]) == pytest.approx(40 * HAY)
    assert float(found[3][COST]) == pytest.approx(50 * HAY)


def test_all_faults_of_a_farm_are_in_its_problem():
    spec = by_hand(FarmRow("bad", {HEAD: 0, PRICE: -1}))
    [problem] = run_chunk(chunk_payload(spec, 1), scenario_of).problems
    assert {fault["input"] for fault in problem["faults"]} == {HEAD, PRICE}


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_to_compute_with_is_refused(value):
    [row] = rows(by_hand(FarmRow("bad", {"hay.bales_on_hand": value})))
    assert row["status"] == "refused"
    assert "no number" in row["problem"]


def only_forty_acres():
    """Return a farm whose plan is grass alone, which feeds 40 animals to the end of winter."""
    grass = hand_farm()["systems"]["grass"]["plan"][0]
    return hand_farm({"systems": {"grass": {"plan": [grass]}}})


def test_a_farm_whose_winter_is_not_served_is_refused_among_others_that_are():
    document = only_forty_acres()
    farms = tuple(FarmRow(str(head), {HEAD: head}) for head in (20, 41, 30, 60, 39))
    found = rows(SweepSpec(document, farms))
    refused = {row["external_id"]: row["problem"] for row in found if row["status"] == "refused"}
    assert refused == {str(head): said(document, {HEAD: head}) for head in (41, 60)}
    served = {row["external_id"] for row in found if row["status"] == "ok"}
    assert served == {"20", "30", "39"}


def test_a_reference_value_that_nobody_gives_is_told_for_each_farm():
    document = hand_farm()
    del document["assumptions"]["intake.beef_cow.maintenance.average"]
    found = rows(SweepSpec(document, (GOOD, FarmRow("other", {HEAD: 50}))))
    assert [row["status"] for row in found] == ["refused"] * 2
    assert all("intake.beef_cow.maintenance.average" in row["problem"] for row in found)


def breaks_down(document):
    """Read a document as a library would that has a fault of its own."""
    if document["herd"]["cows"]["head"] == 41:
        raise KeyError(document["name"])
    return scenario_of(document)


def test_what_breaks_down_is_told_without_the_name_of_the_farm(caplog):
    spec = SweepSpec(
        hand_farm({"name": "Hidden Hollow"}), (GOOD, FarmRow("Hidden too", {HEAD: 41}))
    )
    with caplog.at_level(logging.DEBUG):
        found = rows(spec, breaks_down)
    assert [row["status"] for row in found] == ["ok", "ok", "failed"]
    assert "KeyError" in caplog.text
    assert "Hidden" not in caplog.text + found[2]["problem"]


def test_a_chunk_that_always_breaks_down_has_all_its_rows_failed():
    spec = by_hand(GOOD, FarmRow("other", {HEAD: 50}))
    result = failed_chunk(chunk_payload(spec, 1))
    assert (result.rows, result.failed) == (2, 2)
    assert [row["status"] for row in read_back(spec, result.csv)] == ["failed"] * 2
