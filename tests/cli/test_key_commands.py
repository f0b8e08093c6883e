"""Keys on the command line of the host."""

import json
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from service.cli.commands import app
from service.scenarios.errors import UnknownTokenError
from service.scenarios.tokens import kind_of
from tests.support.installation import at_desk, caller_of, name_of, stocked

run = CliRunner().invoke
CREATE = ["key", "create", "--office", "Tansy", "--access", "admin", "--label", "first"]


def test_the_first_key_is_made_in_a_folder_that_is_not_there_yet(settings):
    result = run(app, CREATE)
    assert result.exit_code == 0
    token = result.stdout.strip()
    assert kind_of(token) == "key"
    assert token not in result.stderr
    assert "shown this once" in result.stderr
    with at_desk(settings) as desk:
        caller = caller_of(desk, token)
    assert (caller.kind, caller.access, caller.label) == ("key", "admin", "first")


def test_a_second_key_of_the_same_name_is_of_the_same_office(settings):
    tokens = [run(app, CREATE).stdout.strip() for _ in range(2)]
    with at_desk(settings) as desk:
        assert len({caller_of(desk, token).office_id for token in tokens}) == 1


def test_the_token_is_in_no_file(data):
    token = run(app, CREATE).stdout.strip()
    for file in data.rglob("*"):
        if file.is_file():
            assert token.encode() not in file.read_bytes()


def test_everything_that_is_wrong_with_a_key_is_told_at_once():
    wrong = ["--office", " ", "--access", "king", "--label", "", "--expires-in-days", "401"]
    result = run(app, ["key", "create", *wrong])
    assert result.exit_code == 2
    assert result.stdout == ""
    for place in ("office:", "access:", "label:", "expires_in_days:"):
        assert place in result.stderr
    assert "read, write, admin" in result.stderr
    assert "400" in result.stderr


def test_keys_are_listed_without_their_tokens(settings):
    stock = stocked(settings)
    run(app, ["key", "revoke", stock.other_key_id])
    result = run(app, ["key", "list", "--json"])
    rows = json.loads(result.stdout)
    assert [(row["office"], row["label"], row["state"]) for row in rows] == [
        ("Tansy", "first", "live"),
        ("Tansy", "second", "revoked"),
    ]
    assert rows[1]["id"] == stock.other_key_id
    assert rows[0]["expires_at"].endswith("Z")
    for token in (stock.admin, stock.other_key, stock.link):
        assert token not in result.stdout


def test_the_table_of_keys_shows_whole_ids_on_eighty_columns(settings):
    stock = stocked(settings)
    result = run(app, ["key", "list"], env={"COLUMNS": "80"})
    assert stock.other_key_id in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 80


@pytest.mark.parametrize("what", ["other_key", "link"])
def test_a_revoked_token_opens_nothing(settings, what):
    stock = stocked(settings)
    token, token_id = getattr(stock, what), getattr(stock, f"{what}_id")
    assert name_of(settings, token, stock.scenarios[1]) == "Quillwort End"
    result = run(app, ["key", "revoke", token_id])
    assert result.exit_code == 0
    assert token_id in result.stderr
    with pytest.raises(UnknownTokenError):
        name_of(settings, token, stock.scenarios[1])
    assert ("revoke", token_id) in journal(settings)


def journal(settings):
    with at_desk(settings) as desk:
        return desk.journal.entries()


def test_an_unknown_key_is_told(settings):
    stocked(settings)
    result = run(app, ["key", "revoke", "ky_unknown"])
    assert result.exit_code == 2
    assert "ky_unknown: There is no key or link of that id." in result.stderr


@pytest.mark.parametrize("command", [["list"], ["revoke", "ky_1"]])
def test_without_a_database_nothing_is_made(data, command):
    result = run(app, ["key", *command])
    assert result.exit_code == 2
    assert "There is no database" in result.stderr
    assert not (data / "winterground.sqlite").exists()


def test_commands_at_once_on_a_fresh_folder_all_make_a_key_that_works(settings):
    commands = [
        subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-m", "service", *CREATE],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(3)
    ]
    said = [command.communicate(timeout=120) for command in commands]
    assert [command.returncode for command in commands] == [0, 0, 0], said
    with at_desk(settings) as desk:
        offices = {caller_of(desk, stdout.strip()).office_id for stdout, _ in said}
    assert len(offices) == 1
