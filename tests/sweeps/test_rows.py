"""Which rows a sweep has, what stands in them, and what is wrong with a sweep as a whole."""

from itertools import product

import numpy as np
import pytest

from service.sweeps.chunk import chunk_payload, chunks, run_chunk
from service.sweeps.records import CHUNK_ROWS, DEFAULT_FIGURES, MOST_ROWS, FarmRow, SweepSpec
from service.sweeps.rows import rows_of, stream_of
from service.sweeps.spec import columns, faults_of_sweep
from service.web.reading import scenario_of
from tests.analysis.hand_farm import GRASS, HAY, hand_farm
from tests.sweeps.farms import by_hand, rows

HEAD, PRICE = "herd.cows.head", "hay.price_per_ton"
COST = "annual_equivalent_cost"
WORKED = {"rel": 1e-9}


def costs(spec):
    return {(int(row["row"]), row["system"]): float(row[COST]) for row in rows(spec)}


def test_rows_come_out_as_worked_in_the_head():
    # hay: $150 a winter and animal at $96 a ton; grass: 40 acres at $40 an acre feed 40 animals,
    # the others eat hay
    found = costs(by_hand(FarmRow("a", {HEAD: 40}), FarmRow("b", {HEAD: 60})))
    assert found == pytest.approx(
        {
            (1, "hay"): 40 * HAY,
            (1, "grass"): 40 * GRASS,
            (2, "hay"): 60 * HAY,
            (2, "grass"): 40 * GRASS + 20 * HAY,
        },
        **WORKED,
    )


def test_hay_costs_in_proportion_to_its_price():
    found = costs(by_hand(FarmRow(), vary={PRICE: (48, 96, 192)}))
    assert [found[row, "hay"] for row in (1, 2, 3)] == pytest.approx(
        [40 * HAY / 2, 40 * HAY, 40 * HAY * 2], **WORKED
    )


def test_bales_and_ranks_are_those_of_each_row():
    # 40 animals x 100 days x 25 lb offered / 0.8 dry matter = 125,000 lb as fed, bales of 1,000 lb;
    # at $20 a ton hay is $31.25 an animal, less than grass
    spec = by_hand(FarmRow("a", {PRICE: 96, "hay.bale_weight_lb": 500}), FarmRow("b", {PRICE: 20}))
    found = {(row["external_id"], row["system"]): row for row in rows(spec)}
    short = "quantities.bales.short_mean"
    assert float(found["a", "hay"][short]) == pytest.approx(250)
    assert float(found["b", "hay"][short]) == pytest.approx(125)
    ranks = {key: row["rank"] for key, row in found.items()}
    assert ranks == {("a", "hay"): "2", ("a", "grass"): "1"} | {
        ("b", "hay"): "1",
        ("b", "grass"): "2",
    }


def test_of_two_systems_that_cost_the_same_the_first_by_key_is_first():
    document = hand_farm({"systems": {"again": hand_farm()["systems"]["hay"]}})
    spec = SweepSpec(document, (FarmRow(None, {HEAD: 40}), FarmRow(None, {HEAD: 50})))
    ranks = [(row["system"], row["rank"]) for row in rows(spec)]
    assert ranks == [("hay", "3"), ("grass", "1"), ("again", "2")] * 2


def test_no_farms_give_no_rows_but_columns():
    spec = by_hand(vary={PRICE: (48, 96)})
    assert chunks(spec) == []
    assert columns(spec) == (
        "row", "external_id", PRICE, "system", *DEFAULT_FIGURES, "status", "problem",
    )  # fmt: skip


def test_varied_values_are_tried_in_the_order_given_the_last_path_fastest():
    vary = {PRICE: (90, 70), HEAD: (40, 30, 50)}
    spec = by_hand(FarmRow("a"), FarmRow("b"), vary=vary)
    found = [(row.external_id, row.set[PRICE], row.set[HEAD]) for row in rows_of(spec, 1, 12)]
    assert found == list(product("ab", vary[PRICE], vary[HEAD]))
    assert [row.number for row in rows_of(spec, 5, 3)] == [5, 6, 7]
    assert columns(spec)[2:4] == (PRICE, HEAD)


def test_chunks_hold_every_row_once():
    spec = by_hand(*[FarmRow()] * 201, vary={PRICE: (1, 2, 3)})
    found = chunks(spec)
    assert [chunk.number for chunk in found] == [1, 2, 3]
    assert [chunk.first_row for chunk in found] == [1, 1 + CHUNK_ROWS, 1 + 2 * CHUNK_ROWS]
    assert sum(chunk.row_count for chunk in found) == spec.costings == 603


def test_a_payload_has_the_same_bytes_each_time():
    spec = by_hand(FarmRow("a", {HEAD: 40}))
    assert chunk_payload(spec, 1) == chunk_payload(by_hand(FarmRow("a", {HEAD: 40})), 1)
    assert chunk_payload(spec, 1) != chunk_payload(by_hand(FarmRow("b", {HEAD: 40})), 1)


def test_cells_follow_rfc_4180_and_are_no_formulas():
    # RFC 4180, section 2: lines end with CRLF; fields with quotes or commas stand in quotes
    spec = by_hand(FarmRow('=1+1,"x"', {HEAD: 40}))
    text = run_chunk(chunk_payload(spec, 1), scenario_of).csv
    assert text.endswith(b"\r\n")
    assert text.startswith(b'1,"\'=1+1,""x""",40,hay,')


def test_a_row_names_what_is_set_for_its_farm():
    spec = by_hand(FarmRow("a", {HEAD: 40}), FarmRow("b", {PRICE: 48}))
    found = {row["external_id"]: (row[PRICE], row[HEAD]) for row in rows(spec)}
    assert found == {"a": ("", "40"), "b": ("48", "")}


def test_everything_wrong_with_a_sweep_is_told_at_once():
    spec = by_hand(
        FarmRow("a", {HEAD: 40, "herd.cows.haed": 3}),
        vary={HEAD: (1, 2), "hay.prise_per_ton": (1,), PRICE: ()},
        figures=("rank", "rank", "anual_equivalent_cost"),
    )
    faults = [(fault.input, fault.suggestion) for fault in faults_of_sweep(spec)]
    assert sorted(faults, key=str) == sorted(
        [
            (f"vary.{PRICE}", None),
            (f"vary.{HEAD}", None),
            ("vary.hay.prise_per_ton", PRICE),
            ("herd.cows.haed", HEAD),
            ("figures", None),
            ("figures", COST),
        ],
        key=str,
    )


def test_more_costings_than_are_taken_are_refused():
    enough = {PRICE: tuple(range(1000)), HEAD: tuple(range(MOST_ROWS // 1000))}
    assert faults_of_sweep(by_hand(FarmRow(), vary=enough)) == []
    [fault] = faults_of_sweep(by_hand(FarmRow(), FarmRow(), vary=enough))
    assert fault.input == "farms"
    assert "400000 costings" in fault.detail


@pytest.mark.parametrize(
    ("figure", "known"),
    [
        ("cost_per_head.cows", True),
        ("cost_per_head.goats", False),
        ("by_winter.1.annual_equivalent_cost", True),
        ("quantities.served_days.sacrifice_lot.total", True),
        ("lines.hay_eaten", True),
        ("best_system", True),
        ("systems", False),
    ],
)
def test_figures_are_those_of_the_catalogue(figure, known):
    faults = faults_of_sweep(by_hand(FarmRow(), figures=(figure,)))
    assert (faults == []) == known


def test_streams_hang_on_seed_row_and_chunk_alone():
    places = [(seed, row, chunk) for seed in (0, 1) for row in (1, 2, 250) for chunk in (1, 2)]
    one = {place: stream_of(*place).random(4).tolist() for place in places}
    other = {place: stream_of(*place).random(4).tolist() for place in reversed(places)}
    assert one == other
    assert len({tuple(numbers) for numbers in one.values()}) == len(places)


def test_streams_of_neighbours_are_not_correlated():
    # for independent numbers the correlation of 4,000 pairs has a standard error of 0.0158
    # (1 / sqrt(n), from memory); five of them
    one, other = (stream_of(7, row, 1).random(4000) for row in (1, 2))
    assert abs(np.corrcoef(one, other)[0, 1]) < 5 / np.sqrt(4000)
