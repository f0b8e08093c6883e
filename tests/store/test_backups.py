"""Backups: whole, proven, never written over, forgotten in time."""

import json
import os
import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta
from hashlib import sha256

import pytest

from service.scenarios.erasure import BACKUP_DAYS, erase
from service.scenarios.keeping import create
from service.store.backup_files import kept, pruned
from service.store.backups import backup
from service.store.errors import (
    BackupError,
    NoDatabaseError,
)
from service.store.upgrading import prepare, state
from tests.support.installation import (
    at_desk,
    caller_of,
    damage_in,
)
from tests.support.offices import small_document


@pytest.mark.usefixtures("stock")
def test_a_backup_is_a_whole_database_with_its_proof_beside_it(settings):
    done = backup(settings)
    assert done.file.parent == settings.backups
    proof = json.loads(done.file.with_name(done.file.name + ".json").read_text())
    assert proof["sha256"] == sha256(done.file.read_bytes()).hexdigest()
    assert proof["schema"] == state(settings).current
    assert proof["bytes"] == done.file.stat().st_size
    with closing(sqlite3.connect(done.file)) as connection:
        assert connection.execute("SELECT count(*) FROM scenarios").fetchone() == (2,)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


@pytest.mark.usefixtures("stock")
def test_backups_are_for_their_owner_alone(settings):
    done = backup(settings)
    for file in settings.backups.iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(done.file.parent.stat().st_mode) == 0o700


def test_a_backup_is_made_while_a_server_writes(settings, stock):
    with at_desk(settings) as desk:
        caller = caller_of(desk, stock.admin)
        with desk.store.writing():
            done = backup(settings)
        create(desk, caller, small_document(name="Teasel Ridge"))
    with closing(sqlite3.connect(done.file)) as connection:
        assert connection.execute("SELECT count(*) FROM scenarios").fetchone() == (2,)


@pytest.mark.usefixtures("stock")
def test_a_backup_goes_where_it_is_told(settings, tmp_path):
    file = tmp_path / "tansy.sqlite"
    assert backup(settings, file).file == file
    folder = tmp_path / "folder"
    folder.mkdir()
    assert backup(settings, folder).file.parent == folder


@pytest.mark.usefixtures("stock")
def test_a_backup_is_never_written_over(settings, tmp_path):
    file = tmp_path / "tansy.sqlite"
    file.write_text("something else")
    with pytest.raises(BackupError, match="never written over"):
        backup(settings, file)
    assert file.read_text() == "something else"


@pytest.mark.usefixtures("stock")
def test_a_folder_that_is_not_there_is_told(settings, tmp_path):
    with pytest.raises(BackupError, match="cannot be written"):
        backup(settings, tmp_path / "none" / "tansy.sqlite")


@pytest.mark.usefixtures("stock")
def test_nothing_is_left_of_a_backup_that_failed(settings, tmp_path):
    damage_in(settings, "notes")
    with pytest.raises(BackupError, match="cannot be written"):
        backup(settings, tmp_path / "tansy.sqlite")
    assert not list(tmp_path.glob("tansy*"))


def test_there_is_nothing_to_back_up_before_there_is_a_database(settings):
    with pytest.raises(NoDatabaseError):
        backup(settings)
    assert not settings.sqlite_file.exists()


@pytest.mark.usefixtures("stock")
def test_old_backups_are_deleted_and_other_files_are_not(settings):
    done = backup(settings)
    now = datetime.now(UTC)
    names = {}
    for days in (BACKUP_DAYS - 1, BACKUP_DAYS + 1):
        at = f"{now - timedelta(days=days):%Y%m%dT%H%M%S%f}Z"
        for beginning in ("backup", "before-0001", "before-restore"):
            for end in ("sqlite", "sqlite.json"):
                file = settings.backups / f"{beginning}-{at}.{end}"
                file.touch()
                names.setdefault(days, set()).add(file)
    mine = settings.backups / "my own.sqlite"
    mine.touch()
    os.utime(mine, (0, 0))
    prepare(settings)
    left = set(settings.backups.iterdir())
    assert names[BACKUP_DAYS - 1] | {mine, done.file} <= left
    assert not names[BACKUP_DAYS + 1] & left


def test_what_is_erased_is_in_no_backup_after_the_day_that_is_promised(settings, stock):
    backup(settings)
    with at_desk(settings) as desk:
        promised = erase(desk, caller_of(desk, stock.admin), stock.scenarios[0]).backups_forget_on
    day_after = datetime.combine(promised, datetime.min.time(), UTC) + timedelta(days=1)
    pruned(settings.backups, now=day_after)
    assert kept(settings.backups) == []
