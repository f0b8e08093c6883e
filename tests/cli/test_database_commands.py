"""The database on the command line of the host."""

import json
import re

import pytest
from typer.testing import CliRunner

from service.cli.commands import app
from service.scenarios.erasure import erase
from service.scenarios.errors import UnknownScenarioError, UnknownTokenError
from service.store.upgrading import state
from tests.support.installation import (
    at_desk,
    caller_of,
    installation,
    name_of,
    newer_program,
    stocked,
    without_guard,
)

run = CliRunner().invoke
NOWHERE = "postgresql://tansy@127.0.0.1:1/farms"
COUNTS = {
    "offices": 1,
    "live_keys": 2,
    "live_links": 1,
    "scenarios": 2,
    "in_the_bin": 0,
    "revisions": 2,
    "costings": 1,
    "notes": 1,
    "winters": 0,
    "weather_records": 0,
    "analyses": 0,
    "sweeps": 0,
}
"""Of what ``stocked`` keeps."""


def test_the_status_of_nothing_is_told_and_makes_nothing(data):
    result = run(app, ["db", "status"])
    assert result.exit_code == 0
    assert "there is no database yet" in result.stdout
    assert not data.exists()


def test_the_status_counts_what_is_kept(settings):
    stocked(settings)
    found = json.loads(run(app, ["db", "status", "--json"]).stdout)
    assert found["kind"] == "sqlite"
    assert found["place"] == str(settings.sqlite_file)
    assert found["schema"] == found["schema_of_program"]
    assert found["bytes"] >= settings.sqlite_file.stat().st_size
    assert found["counts"] == COUNTS
    assert found["last_backup"] is None
    assert found["journal_entries"] == 0


def test_the_status_knows_the_last_backup_and_the_journal(settings):
    stock = stocked(settings)
    run(app, ["key", "revoke", stock.other_key_id])
    run(app, ["db", "backup"])
    result = run(app, ["db", "status"], env={"COLUMNS": "200"})
    assert re.search(r"Last backup +\d{4}-\d\d-\d\dT", result.stdout)
    assert re.search(r"Journal entries +1", result.stdout)
    assert re.search(r"Live keys +1", result.stdout)


def test_the_status_of_a_shared_database_counts_the_same(tmp_path, postgresql):
    with postgresql.new(empty=True) as address:
        stocked(installation(tmp_path / "data", address))
        found = json.loads(run(app, ["db", "status", "--json", "--database", address]).stdout)
    assert found["kind"] == "postgresql"
    assert found["counts"] == COUNTS
    assert found["bytes"] > 0


def test_an_upgrade_says_what_it_did(tmp_path, monkeypatch):
    assert "from nothing" in run(app, ["db", "upgrade"]).stderr
    assert "already" in run(app, ["db", "upgrade"]).stderr
    newer_program(monkeypatch, tmp_path)
    result = run(app, ["db", "upgrade"])
    assert "to schema 9999" in result.stderr
    assert "before-9999-" in result.stderr


def test_a_backup_prints_where_it_lies(settings, tmp_path):
    stocked(settings)
    result = run(app, ["db", "backup", "--to", str(tmp_path / "farms.sqlite")])
    assert result.stdout.strip() == str(tmp_path / "farms.sqlite")
    assert "SHA-256" in result.stderr


def test_drill_backup_erase_revoke_restore(settings):
    stock = stocked(settings)
    file = run(app, ["db", "backup"]).stdout.strip()
    with at_desk(settings) as desk:
        erase(desk, caller_of(desk, stock.admin), stock.scenarios[0])
    run(app, ["key", "revoke", stock.other_key_id])
    result = run(app, ["db", "restore", file, "--yes"])
    assert result.exit_code == 0, result.stderr
    assert "Erased again: 1 scenarios. Revoked again: 1 keys and links." in result.stderr
    with pytest.raises(UnknownScenarioError):
        name_of(settings, stock.admin, stock.scenarios[0])
    with pytest.raises(UnknownTokenError):
        name_of(settings, stock.other_key, stock.scenarios[1])
    assert name_of(settings, stock.admin, stock.scenarios[1]) == "Quillwort End"
    assert run(app, ["db", "check"]).stdout == "Nothing is wrong.\n"


def test_a_restore_asks_first(settings):
    stock = stocked(settings)
    file = run(app, ["db", "backup"]).stdout.strip()
    with at_desk(settings) as desk:
        erase(desk, caller_of(desk, stock.admin), stock.scenarios[0])
    result = run(app, ["db", "restore", file], input="n\n")
    assert result.exit_code == 1
    assert not list(settings.backups.glob("before-restore-*"))
    assert run(app, ["db", "restore", file], input="y\n").exit_code == 0


def test_a_restore_without_a_file_erases_and_revokes_again(settings):
    stock = stocked(settings)
    with at_desk(settings) as desk:
        desk.journal.append("erase", stock.scenarios[0], desk.now())
    checked = run(app, ["db", "check"])
    assert checked.exit_code == 1
    assert "was erased and is there" in checked.stdout
    result = run(app, ["db", "restore", "--revoke-links"])
    assert "Erased again: 1 scenarios" in result.stderr
    assert "Revoked besides: 1 links" in result.stderr
    assert run(app, ["db", "check"]).exit_code == 0


def test_a_check_of_an_older_database_says_so(settings, tmp_path, monkeypatch):
    stocked(settings)
    newer_program(monkeypatch, tmp_path)
    result = run(app, ["db", "check"])
    assert result.exit_code == 1
    assert "needs schema 9999" in result.stdout


@pytest.mark.parametrize(
    "command",
    [
        ["db", "backup"],
        ["db", "check"],
        ["db", "restore"],
        ["db", "restore", "none.sqlite", "--yes"],
        ["db", "backup", "--to", "/none/farms.sqlite"],
        ["db", "status", "--database", "mysql://x@y/z"],
        ["db", "status", "--database", NOWHERE],
        ["db", "upgrade", "--database", NOWHERE],
        ["db", "backup", "--database", NOWHERE],
        ["db", "check", "--database", NOWHERE],
        ["db", "restore", "--database", NOWHERE],
        ["key", "list", "--database", NOWHERE],
        ["serve", "--database", NOWHERE],
        ["db", "status", "--data", __file__],
    ],
    ids=" ".join,
)
def test_what_cannot_be_done_is_told_in_a_sentence(command):
    result = run(app, command)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.strip()
    assert "Traceback" not in result.stderr
    assert "A password" not in result.stderr
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_a_newer_database_is_refused_by_every_command_that_writes(settings):
    stocked(settings)
    head = state(settings).head
    without_guard(settings, "UPDATE alembic_version SET version_num = 'zzzz'")
    for command in (["db", "upgrade"], ["key", "list"], ["serve"], ["db", "restore"]):
        result = run(app, command)
        assert result.exit_code == 2
        assert "zzzz" in result.stderr
        assert head in result.stderr
    assert "newer than this program" in run(app, ["db", "status"], env={"COLUMNS": "200"}).stdout


@pytest.mark.parametrize("name", ["THREADS", "OPEN_COSTING"])
def test_a_faulty_setting_is_named(monkeypatch, name):
    monkeypatch.setenv(f"WINTERGROUND_{name}", "many")
    result = run(app, ["db", "status"])
    assert result.exit_code == 2
    assert f"WINTERGROUND_{name}" in result.stderr


def test_faulty_secrets_are_not_repeated(monkeypatch):
    monkeypatch.setenv("WINTERGROUND_PEPPERS", "1:too-short-a-secret")
    create = ["key", "create", "--office", "Tansy", "--access", "read", "--label", "x"]
    result = run(app, create)
    assert result.exit_code == 2
    assert "WINTERGROUND_PEPPERS" in result.stderr
    assert "too-short" not in result.stderr
