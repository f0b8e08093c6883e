"""Sweeps over HTTP: asked for as JSON or as a table, read while they run, cancelled, forgotten."""

import csv
import io
import json

import pytest

from service.scenarios.working import work_on_next
from service.web.sweep_models import Sweep, SweepList, SweepProblemList
from tests.support.asked_sweeps import small_chunks
from tests.support.offices import small_document

SWEEPS = "/v1/sweeps"
PATH = "hay.price_per_ton"
FARMS = [{"external_id": f"{number:04d}", "set": {PATH: 60 + number}} for number in range(1, 8)]
FIGURES = ["annual_equivalent_cost", "rank"]
ABSENT = "sw_01JD5B7Q0M3T8X2Y6Z9A1C4E5G"
TABLE = {"Content-Type": "text/csv"}


@pytest.fixture(autouse=True)
def few_rows(monkeypatch):
    small_chunks(monkeypatch)


def body(**more):
    return {"document": small_document(), "farms": FARMS, "figures": FIGURES} | more


def start(keeping, by="write", headers=None, **more):
    return keeping("POST", SWEEPS, by, json=body(**more), headers=headers or {})


def done(keeping, **more):
    address = start(keeping, **more).headers["Location"]
    while work_on_next(keeping.desk, "A"):
        pass
    return address


def rows(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode())))


def test_a_sweep_is_taken_worked_on_and_read(keeping):
    taken = start(keeping)
    assert taken.status_code == 202, taken.text
    Sweep.model_validate_json(taken.content)
    where = taken.headers["Location"]
    assert (taken.headers["Retry-After"], taken.headers["Content-Location"]) == ("2", where)
    assert taken.json()["progress"] == {"done": 0, "total": 3, "unit": "chunk"}
    assert taken.json()["columns"] == [
        *("row", "external_id", PATH, "system"),
        *FIGURES,
        *("status", "problem"),
    ]
    waiting = keeping.get(where, "read")
    assert (waiting.json()["state"], waiting.headers["Retry-After"]) == ("queued", "2")
    assert work_on_next(keeping.desk, "A")
    found = keeping.get(where, "read")
    assert "Retry-After" not in found.headers
    told = found.json()
    assert (told["state"], told["progress"]["done"], told["failed_rows"]) == ("done", 3, 0)
    results = keeping.get(told["results"], "read")
    assert results.headers["Results-Complete"] == "true"
    assert results.headers["Content-Type"].startswith("text/csv")
    assert results.headers["Cache-Control"] == "no-store"
    assert len(rows(results)) == told["rows"] == 7 * len(small_document()["systems"])


def test_what_is_small_is_done_at_once(keeping):
    made = start(keeping, farms=FARMS[:2])
    assert made.status_code == 201
    assert made.json()["state"] == "done"
    assert "Retry-After" not in made.headers
    assert made.headers["Location"] == made.headers["Content-Location"]


def test_without_farms_the_scenario_is_the_farm(keeping):
    sent = body(vary={PATH: [70, 110]})
    del sent["farms"]
    made = keeping("POST", SWEEPS, "write", json=sent)
    assert (made.status_code, made.json()["farms"], made.json()["costings"]) == (201, 1, 2)
    assert {row[PATH] for row in rows(keeping.get(made.json()["results"]))} == {"70", "110"}


def test_rows_agree_with_a_costing_of_their_own(keeping):
    results = rows(keeping.get(f"{done(keeping)}/results.csv"))
    settings = FARMS[4]["set"]
    own = keeping("POST", "/v1/costings", json={"document": small_document(), "set": settings})
    expected = {one["system"]: one["annual_equivalent_cost"] for one in own.json()["systems"]}
    found = {row["system"]: row for row in results if row["row"] == "5"}
    assert {key: float(row["annual_equivalent_cost"]) for key, row in found.items()} == (
        pytest.approx(expected, rel=1e-9)
    )


def test_a_table_asks_for_the_same_as_json(keeping):
    scenario = keeping.stored()
    lines = ["external_id,hay.price_per_ton,_mine", *(f"{n:04d},{60 + n},x" for n in range(1, 8))]
    asked = f"{SWEEPS}?scenario={scenario}&vary.prices.labor_per_hour=15,20"
    asked += f"&figures={','.join(FIGURES)}"
    text = "\r\n".join(lines)
    of_table = keeping("POST", asked, "write", content=text.encode(), headers=TABLE)
    assert of_table.status_code == 202, of_table.text
    sent = body(scenario=scenario, vary={"prices.labor_per_hour": [15, 20]})
    del sent["document"]
    of_json = keeping("POST", SWEEPS, "write", json=sent)
    assert of_table.json()["content_key"] == of_json.json()["content_key"]
    assert of_table.json()["scenario"] == scenario
    for separator in (";", "\t"):
        other = text.replace(",", separator).encode("utf-8-sig")
        again = keeping("POST", asked, "write", content=other, headers=TABLE)
        assert again.json()["content_key"] == of_json.json()["content_key"]


def test_cells_of_a_table_carry_units_and_may_be_empty(keeping):
    scenario = keeping.stored()
    text = (
        "external_id,herd.cows.body_weight_lb,herd.cows.birth_starts,hay.price_per_ton\n"
        "a,590 kg,Apr 3,\n"
        "b,,,default\n"
        'c,590 furlong,,"92,5"\n'
        "\n"
    )
    made = keeping(
        "POST", f"{SWEEPS}?scenario={scenario}", "write", content=text.encode(), headers=TABLE
    )
    assert made.json()["farms"] == 3
    where = made.headers["Location"]
    work_on_next(keeping.desk, "A")
    found = {row["external_id"]: row for row in rows(keeping.get(f"{where}/results.csv"))}
    weight = float(found["a"]["herd.cows.body_weight_lb"])
    assert weight == pytest.approx(590 / 0.45359237)  # the pound as defined in 1959
    assert found["a"]["herd.cows.birth_starts"] == "04-03"
    assert (found["a"][PATH], found["a"]["status"]) == ("", "ok")
    assert found["c"]["status"] == "refused"
    told = keeping.get(f"{where}/problems").json()["items"]
    faulty = [one for one in told if one["external_id"] == "c"]
    inputs = {fault["input"]: fault["detail"] for fault in faulty[0]["faults"]}
    assert "590 furlong" in inputs["herd.cows.body_weight_lb"]
    assert "92,5" in inputs[PATH]


def test_every_fault_of_a_body_is_told_with_its_place(keeping):
    spoiled = small_document()
    spoiled["herd"]["cows"]["head"] = -4
    answer = keeping(
        "POST",
        SWEEPS,
        "write",
        json={
            "document": spoiled,
            "farms": [{}, {"set": {"herd.cow.head": 3}}],
            "vary": {"hay.price": [70]},
            "figures": ["anual_equivalent_cost"],
        },
    )
    assert answer.status_code == 422
    told = {one["pointer"]: one for one in answer.json()["errors"]}
    assert told["/farms/1/set/herd.cow.head"]["suggestion"] == "herd.cows.head"
    assert told["/figures"]["suggestion"] == "annual_equivalent_cost"
    assert "/vary/hay.price" in told
    assert "/document/herd/cows/head" in told
    assert keeping.get(SWEEPS).json()["items"] == []


def test_every_fault_of_form_is_told_with_its_place(keeping):
    raw = (
        '{"farm": [], "scenario": 7, "farms": [1, {"external_id": 417, "sets": {}},'
        ' {"set": []}, {"set": {"hay.price_per_ton": 1e999}}], "vary": {"a.b": 3},'
        ' "figures": "rank", "seed": -1}'
    )
    answer = keeping(
        "POST", SWEEPS, "write", content=raw, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 422
    told = {one["pointer"]: one for one in answer.json()["errors"]}
    assert told.keys() >= {
        "/farm",
        "/scenario",
        "/farms/0",
        "/farms/1/external_id",
        "/farms/1/sets",
        "/farms/2/set",
        "/vary/a.b",
        "/figures",
        "/seed",
    }
    assert told["/farms/1/sets"]["suggestion"] == "set"
    assert "computed with" in told["/farms/3/set/hay.price_per_ton"]["detail"]


@pytest.mark.parametrize("sent", [{}, {"document": {}, "scenario": "sc_1"}])
def test_there_is_one_base(keeping, sent):
    answer = keeping("POST", SWEEPS, "write", json=sent)
    assert answer.status_code == 422
    assert "Send either document" in answer.text


def test_every_fault_of_a_table_is_told(keeping):
    text = "external_id,hay.price_per_ton,hay.price_per_ton\na,1,2,3\n"
    answer = keeping(
        "POST", f"{SWEEPS}?figurs=rank&seed=x", "write", content=text.encode(), headers=TABLE
    )
    assert answer.status_code == 422
    told = json.dumps(answer.json()["errors"])
    for word in ("figures", "seed must be", "scenario is missing", "twice", "Line 2"):
        assert word in told
    not_text = keeping(
        "POST",
        f"{SWEEPS}?scenario={keeping.stored()}",
        "write",
        content="é".encode("latin-1"),
        headers=TABLE,
    )
    assert (not_text.status_code, "UTF-8" in not_text.text) == (422, True)


def test_a_query_beside_json_is_refused(keeping):
    answer = keeping("POST", f"{SWEEPS}?seed=4", "write", json=body())
    assert (answer.status_code, "stands in the body" in answer.text) == (422, True)


def test_the_same_key_starts_one_sweep(keeping):
    headers = {"Idempotency-Key": "sweep-1"}
    first, again = start(keeping, headers=headers), start(keeping, headers=headers)
    assert again.json() == first.json()
    assert again.headers["Idempotency-Replayed"] == "true"
    other = start(keeping, headers=headers, seed=5)
    assert (other.status_code, other.json()["type"]) == (422, "/problems/idempotency-key-reused")
    scenario = keeping.stored()
    table = {**TABLE, "Idempotency-Key": "sweep-2"}
    asked = f"{SWEEPS}?scenario={scenario}&vary.{PATH}="
    text = b"external_id\na\n"
    assert keeping("POST", f"{asked}70", "write", content=text, headers=table).is_success
    changed = keeping("POST", f"{asked}80", "write", content=text, headers=table)
    assert changed.status_code == 422


def test_results_of_an_open_sweep_come_later_or_in_part(keeping):
    where = start(keeping).headers["Location"]
    early = keeping.get(f"{where}/results.csv")
    assert (early.status_code, early.headers["Retry-After"]) == (503, "2")
    assert early.json()["type"] == "/problems/results-not-ready"
    stops = iter([False, False, True])
    work_on_next(keeping.desk, "A", lambda: next(stops, True))
    part = keeping.get(f"{where}/results.csv?partial=true")
    assert (part.status_code, part.headers["Results-Complete"]) == (200, "false")
    work_on_next(keeping.desk, "A")
    whole = keeping.get(f"{where}/results.csv?partial=true")
    assert whole.headers["Results-Complete"] == "true"
    assert whole.content.startswith(part.content)
    assert len(whole.content) > len(part.content)


def test_results_come_in_the_dialects_of_spreadsheets(keeping):
    farms = [{"external_id": "04.17", "set": {PATH: 60.5}}, {"external_id": "=1+1", "set": {}}]
    where = f"{done(keeping, farms=farms)}/results.csv"
    plain = rows(keeping.get(where))
    assert plain[0]["external_id"] == "04.17"
    assert plain[-1]["external_id"] == "'=1+1"
    tabs = keeping.get(f"{where}?dialect=tsv")
    assert tabs.headers["Content-Type"].startswith("text/tab-separated-values")
    assert list(csv.DictReader(io.StringIO(tabs.content.decode()), delimiter="\t")) == plain
    assert keeping.get(f"{where}?dialect=excel").content[:3] == b"\xef\xbb\xbf"
    european = keeping.get(f"{where}?dialect=excel-eu").content.decode("utf-8-sig")
    first = next(csv.DictReader(io.StringIO(european), delimiter=";"))
    assert (first["external_id"], first[PATH]) == ("04.17", "60,5")
    cost = plain[0]["annual_equivalent_cost"]
    assert first["annual_equivalent_cost"] == cost.replace(".", ",")
    head = keeping("HEAD", where)
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["Results-Complete"] == "true"


def test_problems_are_listed_page_by_page(keeping):
    faulty = {"external_id": "bad", "set": {PATH: -1, "herd.cows.head": "many"}}
    where = done(keeping, farms=[faulty, *FARMS[:4], faulty])
    first = keeping.get(f"{where}/problems?limit=1")
    SweepProblemList.model_validate_json(first.content)
    assert [one["row"] for one in first.json()["items"]] == [1]
    second = keeping.get(first.json()["next"])
    assert [one["row"] for one in second.json()["items"]] == [6]
    assert second.json()["next"] is None
    assert len(second.json()["items"][0]["faults"]) == 2


def test_sweeps_are_listed_newest_first(keeping):
    ids = []
    for _ in range(3):
        ids.append(start(keeping).json()["id"])
        keeping.clock.forward(seconds=1)
    first = keeping.get(f"{SWEEPS}?limit=2", "read")
    SweepList.model_validate_json(first.content)
    second = keeping.get(first.json()["next"], "read")
    listed = [one["id"] for one in first.json()["items"] + second.json()["items"]]
    assert listed == ids[::-1]


def test_a_sweep_is_cancelled_and_keeps_what_is_done(keeping):
    where = start(keeping).headers["Location"]
    stops = iter([False, False, True])
    work_on_next(keeping.desk, "A", lambda: next(stops, True))
    answer = keeping("POST", f"{where}/cancel", "write")
    assert (answer.status_code, answer.json()["state"]) == (202, "cancelled")
    again = keeping("POST", f"{where}/cancel", "write")
    assert (again.status_code, again.json()["type"]) == (409, "/problems/sweep-ended")
    results = keeping.get(f"{where}/results.csv")
    assert (results.status_code, results.headers["Results-Complete"]) == (200, "false")
    assert len(rows(results)) == keeping.get(where).json()["rows"]


def test_a_sweep_is_forgotten(keeping):
    where = done(keeping)
    assert keeping("DELETE", where, "read").status_code == 403
    assert keeping("DELETE", where, "write").status_code == 204
    for address in (where, f"{where}/results.csv", f"{where}/problems"):
        answer = keeping.get(address)
        assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-sweep")
    entries = [one["action"] for one in keeping.get("/v1/audit").json()["items"]]
    assert entries[:2] == ["sweep.delete", "sweep.create"]


def test_too_much_that_waits_is_refused(keeping, monkeypatch):
    monkeypatch.setattr("service.scenarios.sweeps.MOST_WAITING", 1)
    assert start(keeping).status_code == 202
    refused = start(keeping)
    assert (refused.status_code, refused.json()["type"]) == (429, "/problems/too-many-analyses")
    assert refused.headers["Retry-After"] == "2"


def test_a_body_may_have_ten_mebibytes(keeping):
    blanks = b" " * (10 * 1_048_576 - 2)
    headers = {"Content-Type": "application/json"}
    taken = keeping("POST", SWEEPS, "write", content=b"{" + blanks + b"}", headers=headers)
    assert taken.status_code == 422
    refused = keeping("POST", SWEEPS, "write", content=b"{ " + blanks + b"}", headers=headers)
    assert refused.status_code == 413


def test_other_types_and_too_little_access_are_refused(keeping):
    other = keeping("POST", SWEEPS, "write", content=b"<a/>", headers={"Content-Type": "text/xml"})
    assert other.status_code == 415
    assert start(keeping, "read").status_code == 403
    link = keeping.link(keeping.stored(), "edit")
    assert start(keeping, link).status_code == 403
    assert start(keeping, None).status_code == 401
