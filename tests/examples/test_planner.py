"""The planner's script: many farms against a real server, each as the engine costs it alone."""

import csv
import subprocess
import sys
import tempfile
from pathlib import Path

import httpx
import pytest

from service.costing.engine import cost
from service.costing.overrides import with_settings
from service.costing.result import costing_document
from service.web.openapi import EXAMPLES
from service.web.reading import scenario_of

FARMS = EXAMPLES / "farms.csv"
SCRIPT = EXAMPLES / "planner.py"
FEW = 6
PROBLEM = "application/problem+json"


def rows(path):
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def written(path, *lines):
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


@pytest.fixture
def few(tmp_path):
    """Return a file of the first few farms."""
    lines = FARMS.read_text("utf-8").splitlines()
    return written(tmp_path / "few.csv", *lines[: FEW + 1])


def test_the_file_holds_two_hundred_different_farms_that_can_be_costed(planner, base):
    farms = list(planner.farms_in(FARMS))
    assert len(farms) == 200
    assert len({about["external_id"] for about, _ in farms}) == 200
    assert len({settings["name"] for _, settings in farms}) == 200
    for _, settings in farms:
        scenario_of(with_settings(base, settings))


def test_costs_are_those_of_the_engine(service, few, tmp_path, base):
    out = tmp_path / "costs.csv"
    command = [sys.executable, str(SCRIPT), str(few), "--url", service.address, "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603
    assert (done.returncode, done.stdout) == (0, "")
    assert done.stderr == f"{FEW} of {FEW} farms, 0 refused\n"
    assert rows(tmp_path / "costs.faults.csv") == []
    found = rows(out)
    for sent in rows(few):
        # Read here apart from the script: this file has but numbers and words.
        settings = {path: _plain(cell) for path, cell in sent.items() if cell}
        settings |= {name: sent[name] for name in ("external_id", "name")}
        scenario = scenario_of(with_settings(base, settings))
        alone = costing_document(cost(scenario))
        own = [row for row in found if row["external_id"] == sent["external_id"]]
        assert [row["system"] for row in own] == [one["system"] for one in alone["systems"]]
        for row, system in zip(own, alone["systems"], strict=True):
            quantities = system["quantities"]
            assert row["name"] == sent["name"]
            assert row["title"] == system["title"]
            assert int(row["rank"]) == system["rank"]
            assert row["tie_with"].split() == system["tie_with"]
            assert float(row["annual_equivalent_cost"]) == system["annual_equivalent_cost"]
            assert float(row["out_of_pocket"]) == system["out_of_pocket"]
            assert float(row["bales_short_mean"]) == quantities["bales"]["short_mean"]
            assert float(row["bales_short_worst"]) == quantities["bales"]["short_worst"]
            assert float(row["acres_damaged"]) == sum(quantities["acres_damaged"].values())


def _plain(cell):
    try:
        return float(cell)
    except ValueError:
        return cell


def test_what_is_wrong_with_a_farm_goes_to_the_second_file_and_the_rest_goes_on(
    planner, service, tmp_path, capsys
):
    farms = written(
        tmp_path / "farms.csv",
        "external_id,_note,herd.cows.head,hay.price_per_ton",
        "1,,50,90",
        "2,,many,90",
        "3,by phone,-4,1e12",
        '4,,50,"98,5"',
        "5,,50,90,7",
        "6",
        '7,,9e999,"true"',
        "8,,default,98",
    )
    out = tmp_path / "costs.csv"
    assert planner.main([str(farms), "--url", service.address, "--out", str(out)]) == 1
    assert {row["external_id"] for row in rows(out)} == {"1", "6"}
    faults = rows(tmp_path / "costs.faults.csv")
    places = [(row["external_id"], row["line"], row["input"]) for row in faults]
    assert places == [
        ("2", "3", "herd.cows.head"),
        ("3", "4", "herd.cows.head"),
        ("3", "4", "hay.price_per_ton"),
        ("4", "5", "hay.price_per_ton"),
        ("5", "6", "(a cell without a column)"),
        ("7", "8", "herd.cows.head"),
        ("7", "8", "hay.price_per_ton"),
        ("8", "9", "herd.cows.head"),
    ]
    assert faults[0]["received"] == "many"
    assert all(row["detail"] for row in faults)
    assert capsys.readouterr().err == "8 of 8 farms, 6 refused\n"


def test_no_text_of_a_farm_becomes_a_formula(planner, service, tmp_path):
    farms = written(
        tmp_path / "farms.csv", "external_id,name,hay.storage", "=1+1,@SUM(A1),barn", "-3,x,=cmd()"
    )
    out = tmp_path / "costs.csv"
    planner.main([str(farms), "--url", service.address, "--out", str(out)])
    assert {(row["external_id"], row["name"]) for row in rows(out)} == {("'=1+1", "'@SUM(A1)")}
    [fault] = rows(tmp_path / "costs.faults.csv")
    assert (fault["external_id"], fault["received"]) == ("'-3", "'=cmd()")


@pytest.mark.parametrize(
    ("path", "cell", "value"),
    [
        ("herd.cows.head", "60", 60.0),
        ("hay.price_per_ton", "-1.5e2", -150.0),
        ("hay.price_per_ton", "1,5", "1,5"),
        ("hay.price_per_ton", "nan", "nan"),
        ("hay.price_per_ton", "default", None),
        ("herd.cows.birth_starts", "03-12", "03-12"),
        ("land.fields.lot.grazed_in_late_summer", "FALSE", False),
        ("systems.x.plan.y.ground_states", "frozen,firm", ["frozen", "firm"]),
        ("systems.x.plan.y.groups", "cows", ["cows"]),
        ("external_id", "0417", "0417"),
        ("name", "7", "7"),
    ],
)
def test_a_cell_becomes_what_json_has_for_it(planner, path, cell, value):
    found = planner.value(path, cell)
    assert found == value
    assert type(found) is type(value)


def test_a_stored_farm_is_the_base_and_its_key_is_nowhere_to_be_read(
    planner, service, few, capsys, tmp_path
):
    out = tmp_path / "costs.csv"
    given = [str(few), "--url", service.address, "--out", str(out)]
    assert planner.main(given) == 0
    expected = out.read_text("utf-8")
    with tempfile.TemporaryDirectory() as folder:  # apart: no token may be left in other folders
        key_file = written(Path(folder) / "key", service.key)
        for base in (service.scenario, "county"):
            named = ["--base", base, "--key-file", str(key_file)]
            assert planner.main([*given, *named]) == 0
            assert out.read_text("utf-8") == expected
        with pytest.raises(SystemExit, match="over https alone"):
            planner.main([*given, "--url", "http://10.1.2.3", "--key-file", str(key_file)])
        written(key_file, service.key, "and more")
        with pytest.raises(SystemExit, match="one key and nothing else") as ended:
            planner.main([*given, "--key-file", str(key_file)])
        assert service.key not in str(ended.value)
    assert service.key not in "".join(capsys.readouterr())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--base", "sc_0000"], "planner: This needs a key or a link"),
        (["--url", "http://127.0.0.1:9"], "no answer from http://127.0.0.1:9"),
    ],
)
def test_what_is_wrong_for_every_farm_ends_it_before_a_file_is_written(
    planner, service, few, tmp_path, more, said
):
    out = tmp_path / "costs.csv"
    with pytest.raises(SystemExit, match=said):
        planner.main([str(few), "--url", service.address, "--out", str(out), *more])
    assert not out.exists()


@pytest.mark.parametrize("head", ["name,external_id", "external_id,name,name", ""])
def test_a_file_that_does_not_say_which_farm_is_refused(planner, tmp_path, head):
    with pytest.raises(SystemExit, match="external_id must be the first column"):
        list(planner.farms_in(written(tmp_path / "farms.csv", head, "1,2")))


class Answers:
    """Answers one after the other, the last for good; remembers how long was waited."""

    def __init__(self, planner, monkeypatch, *answers):
        self.answers = list(answers)
        self.waited = []
        self.asked = []
        monkeypatch.setattr(planner.time, "sleep", self.waited.append)
        transport = httpx.MockTransport(self.answer)
        self.api = planner.Patient(base_url="http://service", transport=transport)

    def answer(self, request):
        """Answer the next request."""
        self.asked.append((request.method, request.url.path, request.content))
        return self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]


def test_what_is_put_off_is_sent_again_after_the_seconds_that_are_told(planner, monkeypatch):
    # RFC 9110, section 10.2.3, and RFC 6585, section 4: Retry-After with 503 and with 429
    answers = Answers(
        planner,
        monkeypatch,
        httpx.Response(429, headers={"Retry-After": "3"}),
        httpx.Response(503, headers={"Retry-After": "7"}),
        httpx.Response(503),
        httpx.Response(200, json={"systems": []}),
    )
    with answers.api as api:
        assert api.post("/v1/costings", json={"set": {}}).status_code == 200
    assert answers.waited == [3, 7, 8]
    assert len(set(answers.asked)) == 1
    assert len(answers.asked) == 4


def test_it_is_not_sent_again_for_ever_nor_for_other_answers(planner, monkeypatch):
    answers = Answers(planner, monkeypatch, httpx.Response(503, headers={"Retry-After": "90000"}))
    with answers.api as api:
        assert api.get("/").status_code == 503
    assert answers.waited == [planner.LONGEST_PAUSE] * (planner.TRIES - 1)
    answers = Answers(planner, monkeypatch, httpx.Response(500))
    with answers.api as api:
        assert api.get("/").status_code == 500
    assert answers.waited == []


def test_a_farm_without_an_answer_is_a_fault_of_its_own(planner, monkeypatch):
    def broken(request):
        message = "it took too long"
        raise httpx.ReadTimeout(message, request=request)

    about = {"external_id": "1", "line": 2}
    with planner.Patient(base_url="http://x", transport=httpx.MockTransport(broken)) as api:
        costs, faults = planner.costed(api, {}, about, {})
    assert (costs, faults) == ([], [about | {"detail": "no answer: ReadTimeout"}])
    answers = Answers(planner, monkeypatch, httpx.Response(502, text="<html>"))
    with answers.api as api:
        assert planner.costed(api, {}, about, {})[1][0]["detail"] == "answered 502 Bad Gateway"


def test_pages_are_followed_to_the_last(planner, service):
    shown = {"Authorization": f"Bearer {service.key}"}
    with planner.Patient(base_url=service.address, headers=shown) as api:
        for number in range(3):
            copied = {"external_id": f"page {number}"}
            answer = api.post(f"/v1/scenarios/{service.scenario}/copies", json=copied)
            assert answer.status_code == 201, answer.text
        whole = [one["id"] for one in api.get("/v1/scenarios").json()["items"]]
        assert len(whole) >= 4
        assert [one["id"] for one in planner.pages(api, "/v1/scenarios?limit=1")] == whole


def test_what_takes_long_is_waited_for(planner, service):
    shown = {"Authorization": f"Bearer {service.key}", "Prefer": "wait=0"}
    with planner.Patient(base_url=service.address, headers=shown, timeout=60) as api:
        asked = {"question": "risk", "draws": 20_000, "seed": 417}
        first = api.post(f"/v1/scenarios/{service.scenario}/analyses", json=asked)
        assert first.status_code == 202
        answer = planner.wait(api, first)
    assert answer.json()["state"] == "done"
    assert answer.json()["result"]["draws"] == 20_000


def test_the_script_is_short_and_needs_httpx_alone():
    text = SCRIPT.read_text("utf-8")
    assert len(text.splitlines()) <= 200
    imported = {
        line.split()[1].partition(".")[0]
        for line in text.splitlines()
        if line.startswith(("import ", "from "))
    }
    assert imported - sys.stdlib_module_names == {"httpx"}
