"""sweep on the command line: many farms costed without a server or a database."""

import csv
import io
import json

import pytest
from typer.testing import CliRunner

from service.cli import sweep as command
from service.cli.commands import app
from service.sweeps.records import FarmRow, SweepSpec
from service.sweeps.running import run_all
from tests.support.offices import small_document

run = CliRunner().invoke
TABLE = "external_id,hay.price_per_ton\n0417,80\n0418,-3\n0419,100\n"
INPUT = "hay.price_per_ton"


@pytest.fixture
def base(tmp_path):
    place = tmp_path / "base.json"
    place.write_text(json.dumps(small_document()))
    return place


@pytest.fixture
def table(tmp_path):
    place = tmp_path / "farms.csv"
    place.write_text(TABLE)
    return place


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_a_table_becomes_rows_in_their_order(base, table):
    result = run(app, ["sweep", str(table), "--base", str(base)])
    assert result.exit_code == 0, result.stderr
    found = rows(result.stdout)
    systems = len(small_document()["systems"])
    assert [row["row"] for row in found] == ["1"] * systems + ["2"] + ["3"] * systems
    assert [row["status"] for row in found if row["external_id"] == "0418"] == ["refused"]
    assert "1 of 3 could not be costed" in result.stderr
    assert "3/3" in result.stderr  # the bar, which standard output is free of


def test_rows_go_into_a_file_and_the_faults_beside_it(base, table, tmp_path):
    out = tmp_path / "rows.csv"
    result = run(app, ["sweep", str(table), "--base", str(base), "--out", str(out)])
    assert (result.exit_code, result.stdout) == (0, "")
    assert {row["external_id"] for row in rows(out.read_text())} == {"0417", "0418", "0419"}
    faults = rows((tmp_path / "rows.faults.csv").read_text())
    assert [(one["row"], one["external_id"], one["input"]) for one in faults] == [
        ("2", "0418", INPUT)
    ]
    assert faults[0]["received"] == "-3"
    assert not list(tmp_path.glob("*.partial"))


def test_json_is_what_the_service_takes(tmp_path, base):
    place = tmp_path / "sweep.json"
    sent = {"vary": {INPUT: [70, 110]}, "figures": ["rank"], "seed": 3}
    place.write_text(json.dumps(sent))
    of_base = run(app, ["sweep", str(place), "--base", str(base)])
    place.write_text(json.dumps({"document": small_document(), **sent}))
    of_its_own = run(app, ["sweep", str(place)])
    assert of_base.exit_code == of_its_own.exit_code == 0
    assert of_base.stdout == of_its_own.stdout
    assert {row[INPUT] for row in rows(of_base.stdout)} == {"70", "110"}


def test_the_base_may_come_by_standard_input(table):
    result = run(app, ["sweep", str(table), "--base", "-"], input=json.dumps(small_document()))
    assert result.exit_code == 0
    assert len(rows(result.stdout)) > 3


def test_processes_write_the_same_bytes(base, table, tmp_path, monkeypatch):
    serial = run(app, ["sweep", str(table), "--base", str(base)])
    monkeypatch.setenv("WINTERGROUND_EXECUTOR", "processes:2")
    out = tmp_path / "rows.csv"
    beside = run(app, ["sweep", str(table), "--base", str(base), "--out", str(out)])
    assert beside.exit_code == 0
    assert out.read_bytes() == serial.stdout_bytes


def test_chunks_that_end_early_wait_for_their_turn(base, table, monkeypatch):
    text = "external_id\n" + "".join(f"{number}\n" for number in range(600))
    table.write_text(text)
    parts = {}

    def backwards(spec, read, executor, keep):
        few = SweepSpec(spec.document, (FarmRow(),), figures=("rank",))
        run_all(few, read, executor, lambda _number, found: parts.update(found=found))
        for number in (3, 2, 1):
            keep(number, type(parts["found"])(f"{number}\r\n".encode(), 1, 0, []))

    monkeypatch.setattr(command, "run_all", backwards)
    result = run(app, ["sweep", str(table), "--base", str(base)])
    assert result.stdout.splitlines()[1:] == ["1", "2", "3"]


def test_faults_of_the_whole_end_the_command_before_anything_is_written(base, table, tmp_path):
    table.write_text("external_id,hay.prise_per_ton\n1,2\n")
    out = tmp_path / "rows.csv"
    result = run(app, ["sweep", str(table), "--base", str(base), "--out", str(out)])
    assert result.exit_code == 2
    assert "did you mean hay.price_per_ton?" in result.stderr
    assert not out.exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["farms.csv"], "--base"),
        (["nothing.csv", "--base", "base.json"], "nothing.csv"),
        (["farms.csv", "--base", "base.json", "--executor", "wheel"], "there is no executor"),
        (["farms.csv", "--base", "farms.csv"], "JSON"),
        (["stored.json"], "needs the server"),
        (["farms.csv", "--base", "base.json", "--out", "no/such/place.csv"], "no/such"),
    ],
)
@pytest.mark.usefixtures("base", "table")
def test_what_cannot_be_done_is_told_in_a_sentence(tmp_path, monkeypatch, arguments, told):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "stored.json").write_text('{"scenario": "sc_1"}')
    result = run(app, ["sweep", *arguments])
    assert result.exit_code == 2
    assert told in result.stderr
    assert "Traceback" not in result.stderr


def test_a_sweep_that_is_broken_off_leaves_nothing(base, table, tmp_path, monkeypatch):
    def interrupted(*_arguments, **_more):
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "run_all", interrupted)
    out = tmp_path / "rows.csv"
    result = run(app, ["sweep", str(table), "--base", str(base), "--out", str(out)])
    assert result.exit_code == 130
    assert sorted(one.name for one in tmp_path.iterdir()) == ["base.json", "farms.csv"]
