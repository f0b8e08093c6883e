"""The command line as a person uses it."""

import csv
import io
import json

import pytest
from typer.testing import CliRunner

from service.cli.commands import app
from service.demo import demo_document

run = CliRunner().invoke


@pytest.fixture
def demo_file(tmp_path):
    path = tmp_path / "farm.json"
    path.write_text(json.dumps(demo_document()))
    return path


def test_the_demo_prints_today_first_and_every_figure_a_farmer_asks_for():
    result = run(app, ["demo", "--once"], env={"COLUMNS": "100"})
    assert result.exit_code == 0
    text = result.stdout
    for label in (
        "Year, all told",
        "worst winter",
        "Out of pocket",
        "Up front",
        "Bales",
        "short",
        "Hours a winter",
        "Acres to fix",
        "Cheapest in",
        "of 12",
        "Too close to call on money",
        "Check these first",
        "not an engineering design",
    ):
        assert label in text
    assert text.index("Today:") < text.index("better")


def test_the_table_fits_a_terminal_of_eighty_columns():
    result = run(app, ["demo", "--once"], env={"COLUMNS": "80"})
    assert max(len(line) for line in result.stdout.splitlines()) <= 80
    assert "…" not in result.stdout


def test_costing_a_file_as_csv_gives_lines_that_add_up(demo_file):
    result = run(app, ["cost", str(demo_file), "--csv"])
    whole = json.loads(run(app, ["cost", str(demo_file), "--json"]).stdout)
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    for system in whole["systems"]:
        added = sum(float(row["value"]) for row in rows if row["system"] == system["system"])
        assert added == pytest.approx(system["annual_equivalent_cost"], rel=1e-12)


def test_a_request_body_is_taken_as_well_as_a_bare_document(tmp_path):
    path = tmp_path / "body.json"
    path.write_text(json.dumps({"document": demo_document()}))
    assert run(app, ["cost", str(path)]).exit_code == 0


def test_a_faulty_file_is_refused_with_every_fault_on_a_line_of_its_own(tmp_path):
    document = demo_document()
    document["herd"]["cows"]["head"] = -3
    document["hay"]["prise_per_ton"] = document["hay"].pop("price_per_ton")
    path = tmp_path / "farm.json"
    path.write_text(json.dumps(document))
    result = run(app, ["cost", str(path)])
    assert result.exit_code == 2
    assert "herd.cows.head" in result.stderr
    assert "hay.prise_per_ton" in result.stderr
    assert "did you mean price_per_ton" in result.stderr


@pytest.mark.parametrize("content", ["", "not json", "[1, 2]", '{"herd": 3}'])
def test_what_is_no_scenario_is_refused_in_words(tmp_path, content):
    path = tmp_path / "farm.json"
    path.write_text(content)
    result = run(app, ["cost", str(path)])
    assert result.exit_code == 2
    assert result.stderr
    assert "Traceback" not in result.stderr


def test_a_file_that_is_not_there_is_told(tmp_path):
    result = run(app, ["cost", str(tmp_path / "none.json")])
    assert result.exit_code == 2
    assert "none.json" in result.stderr


def test_a_reference_value_is_shown_with_its_range_and_source():
    result = run(app, ["reference", "hay_waste.ring_open"], env={"COLUMNS": "120"})
    assert result.exit_code == 0
    for word in ("hay_waste.ring_open", "fraction", "source", "find out"):
        assert word in result.stdout


def test_the_beginning_of_a_key_lists_what_begins_so():
    result = run(app, ["reference", "hay_storage_loss"], env={"COLUMNS": "120"})
    assert "hay_storage_loss.barn" in result.stdout
    assert "hay_storage_loss.ground_uncovered" in result.stdout


def test_a_mistyped_key_is_answered_with_the_nearest():
    result = run(app, ["reference", "hay_waste.ring_opan"])
    assert result.exit_code == 2
    assert "hay_waste.ring_open" in result.stderr


def test_titles_that_look_like_markup_are_printed_as_they_stand(tmp_path):
    document = demo_document() | {"name": "[/bold] farm :cow:"}
    document["systems"]["rock_pad"]["title"] = "[x] pad"
    farm = tmp_path / "farm.json"
    farm.write_text(json.dumps(document))
    result = run(app, ["cost", str(farm)], env={"COLUMNS": "200"})
    assert result.exit_code == 0, result.output
    assert "[/bold] farm :cow:" in result.stdout
    assert "[x] pad" in result.stdout
