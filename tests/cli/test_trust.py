"""`winterground trust` as a person uses it."""

import json

import pytest
from typer.testing import CliRunner

from service.cli.commands import app
from service.trust import wording
from service.trust.records import published_cases

run = CliRunner().invoke
CASES = published_cases()
WIDE = {"COLUMNS": "200"}


def test_every_case_is_in_the_table_with_its_counts():
    result = run(app, ["trust"], env=WIDE)
    assert result.exit_code == 0
    rows = [line.split() for line in result.stdout.splitlines()]
    for case in CASES:
        counts = [
            str(case.count(each)) for each in ("agrees", "disagrees", "not_compared", "beside")
        ]
        assert [case.key, wording.CLAIMS_IN_SHORT[case.claim], *counts] in [row[:6] for row in rows]
    for _, found in wording.by_claim(CASES):
        assert wording.counted(found) in result.stdout


def test_what_agreement_means_stands_before_the_counts():
    said = " ".join(run(app, ["trust"], env=WIDE).stdout.split())
    assert said.index("It shows nothing about farms.") < said.index("agree,")


@pytest.mark.parametrize("case", CASES, ids=lambda each: each.key)
def test_a_case_shows_every_line_of_it(case):
    result = run(app, ["trust", case.key.lower()], env=WIDE)
    assert result.exit_code == 0
    said = " ".join(result.stdout.split())
    for line in case.lines:
        assert wording.with_unit(line.engine, line.unit) in said
    firsts = [line.partition("  ")[0] for line in result.stdout.splitlines()]
    assert {str(number) for number in range(1, len(case.lines) + 1)} <= set(firsts)


@pytest.mark.parametrize("width", ["80", "100"])
def test_it_fits_a_terminal(width):
    for arguments in ([], [CASES[0].key]):
        result = run(app, ["trust", *arguments], env={"COLUMNS": width})
        lines = result.stdout.splitlines()
        table = [line for line in lines if not line.startswith("winterground trust")]
        assert max(len(line) for line in table) <= int(width)
        assert "\N{HORIZONTAL ELLIPSIS}" not in result.stdout


def test_the_records_are_json():
    whole = json.loads(run(app, ["trust", "--json"]).stdout)
    assert [case["key"] for case in whole["cases"]] == [case.key for case in CASES]
    one = json.loads(run(app, ["trust", "V02", "--json"]).stdout)
    assert one in whole["cases"]
    assert one["lines"][0]["outcome"] == "agrees"


def test_a_document_can_be_costed(tmp_path):
    printed = run(app, ["trust", "V02", "--document", "an_acre", "--line", "2"])
    assert printed.exit_code == 0
    file = tmp_path / "farm.json"
    file.write_text(printed.stdout, "utf-8")
    costing = json.loads(run(app, ["cost", str(file), "--json"]).stdout)
    costs = {each["system"]: each["annual_equivalent_cost"] for each in costing["systems"]}
    line = next(case for case in CASES if case.key == "V02").lines[1]
    assert costs["hay"] - costs["grass_first"] == pytest.approx(line.engine, rel=1e-9)


def test_a_document_is_printed_as_it_is_kept():
    case = next(case for case in CASES if case.key == "V02")
    printed = run(app, ["trust", "V02", "--document", "an_acre"])
    assert json.loads(printed.stdout) == case.documents["an_acre"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["V99"], "There is no case 'V99'. There are"),
        (["V02", "--document", "farm"], "no document 'farm'. There are: an_acre."),
        (["V02", "--document", "an_acre", "--line", "999"], "has no line 999"),
        (["--document", "an_acre"], "Name a case with --document"),
        (["V02", "--line", "1"], "and a document with --line"),
    ],
)
def test_what_is_not_there_is_told_with_what_is(arguments, said):
    result = run(app, ["trust", *arguments])
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr
    if arguments[0] == "V99":
        assert all(case.key in result.stderr for case in CASES)
