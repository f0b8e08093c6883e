"""What the README tells people to type does what it says."""

import json
import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from service.cli.commands import app
from service.demo import demo_document
from service.web.app import create_app
from tests.web.conftest import Caller

README = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
BLOCKS = re.findall(r"^```\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
COMMANDS = sorted(
    {
        re.split(r"\s{2,}", line)[0].removeprefix("winterground ")
        for block in BLOCKS
        for line in block.splitlines()
        if line.startswith("winterground ")
    }
)
QUICK = [command for command in COMMANDS if command.startswith(("cost", "reference"))]


def run(*arguments):
    return CliRunner().invoke(app, list(arguments))


def test_the_readme_has_commands_to_type():
    assert len(COMMANDS) > 5
    assert len(QUICK) > 3


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_one_that_there_is_with_the_options_that_it_has(command):
    words = shlex.split(command)
    names = [word for word in words[:2] if re.fullmatch("[a-z]+", word)]
    if words[0] not in {"key", "db"}:
        names = names[:1]
    told = run(*names, "--help")
    assert told.exit_code == 0, told.output
    plain = re.sub(r"\x1b\[[0-9;]*m", "", told.output)
    for option in (word for word in words if word.startswith("--")):
        assert option in plain


@pytest.mark.parametrize("command", QUICK)
def test_what_costs_a_farm_does_so(command, tmp_path):
    farm = tmp_path / "farm.json"
    farm.write_text(json.dumps(demo_document()))
    answer = run(*shlex.split(command.replace("farm.json", str(farm))))
    assert answer.exit_code == 0, answer.output
    assert (
        "lot_better_feeders" in answer.output
        or "hay_waste" in answer.output
        or ("better" in answer.output)
    )


def test_the_question_on_the_demo_farm_is_answered_as_it_says():
    body = re.search(
        r"/v1/analyses -H 'Content-Type: application/json' -d '(.*?)'", README, re.DOTALL
    )
    said = re.search(r"On the demo farm that gives (\d+) a ton", README)
    asked = json.loads(body[1].replace("{...}", json.dumps(demo_document())))
    answer = Caller(create_app())("POST", "/v1/analyses", json=asked)
    assert answer.status_code == 200, answer.text
    (point,) = answer.json()["result"]["points"]
    assert round(point["value"]) == int(said[1])
    assert point["cheaper_above"] == "roofed_pad"
