"""A full disk: what is kept can be read, nothing is kept by halves, room made is used.

The status is 507 of RFC 4918 (WebDAV, 2007), section 11.5; SQLite says SQLITE_FULL (its list of
result codes), PostgreSQL disk_full, 53100 (its documentation, appendix A).
"""

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from sqlalchemy.exc import OperationalError

from service.scenarios.errors import StoreBusyError, StoreFullError
from service.settings import Settings
from service.store.database import Database
from service.store.journal_file import ROOM, FileJournal
from service.store.soundness import findings
from tests.support.databases import TEMPLATE, SqliteFiles
from tests.support.offices import START, small_document
from tests.support.served import served, with_key
from tests.support.small_disk import small_disk

MEBIBYTES = 24
MOST_WRITES = 3_000
FULL = "/problems/storage-full"


@pytest.fixture
def disk(tmp_path):
    folder = tmp_path / "disk"
    folder.mkdir()
    with small_disk(folder, MEBIBYTES) as one:
        yield one


def ids(client):
    """Return the ids of all scenarios, page by page."""
    found, address = [], "/v1/scenarios?limit=200"
    while address:
        page = client.get(address).json()
        found += [item["id"] for item in page["items"]]
        address = page["next"]
    return found


def added(client, number):
    return client.post("/v1/scenarios", json=small_document(external_id=f"{number}"))


def refused_for_want_of_room(answer):
    told = answer.json()
    assert answer.status_code == 507, answer.text
    assert answer.headers["Content-Type"].startswith("application/problem+json")
    assert (told["type"], told["status"]) == (FULL, 507)
    assert "room" in told["detail"]


@pytest.mark.slow
def test_a_full_disk_is_told_and_nothing_is_lost_or_kept_by_halves(disk):
    settings = Settings(data=disk.folder / "data")
    token = with_key(settings)
    with (
        served(settings, disk.folder / "said") as service,
        service.client(token) as client,
        service.client() as stranger,
    ):
        made = client.post("/v1/scenarios", json=small_document()).json()["id"]
        other = client.post("/v1/scenarios", json=small_document(name="Not costed yet")).json()[
            "id"
        ]
        where = f"/v1/scenarios/{made}"
        costing = client.get(f"{where}/costing").headers["Content-Location"]
        wish = {"access": "read", "label": "phone", "expires_in_days": 9}
        link = client.post(f"{where}/links", json=wish).json()

        disk.fill()
        kept = [made, other]
        while (answer := added(client, len(kept))).status_code == 201:
            kept.append(answer.json()["id"])
            assert len(kept) < MOST_WRITES
        refused_for_want_of_room(answer)
        patch = {"hay": {"price_per_ton": 99}}
        for _ in range(3):
            refused_for_want_of_room(
                client.patch(where, json=patch, headers={"If-Match": '"1"'}),
            )
        refused_for_want_of_room(client.delete(f"{where}/links/{link['id']}"))
        refused_for_want_of_room(client.post("/v1/scenarios", json=small_document()))
        assert sorted(ids(client)) == sorted(kept)
        assert stranger.get("/problems/storage-full").json()["status"] == 507

        for path in (where, f"{where}/revisions/1", costing, "/health/ready"):
            assert client.get(path).status_code == 200, path
        assert client.get(where).headers["ETag"] == '"1"'
        unsaved = client.get(f"/v1/scenarios/{other}/costing")
        assert unsaved.status_code == 200
        assert "Content-Location" not in unsaved.headers
        assert stranger.get(f"/s/{link['token']}").status_code == 200
        costed = stranger.post("/v1/costings", json={"document": small_document()})
        assert costed.status_code == 200
        assert findings(settings) == []

        disk.clear()
        assert client.delete(f"{where}/links/{link['id']}").status_code in {200, 204}
        assert client.patch(where, json=patch, headers={"If-Match": '"1"'}).status_code == 200
        assert "Content-Location" in client.get(f"/v1/scenarios/{other}/costing").headers
        late = added(client, len(kept))
        assert late.status_code == 201
        assert sorted(ids(client)) == sorted([*kept, late.json()["id"]])
        assert stranger.get(f"/s/{link['token']}").status_code == 404
    assert findings(settings) == []


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full, as Linux has it")
def test_a_log_that_finds_no_room_takes_no_request_down(tmp_path):
    settings = Settings(data=tmp_path / "data")
    token = with_key(settings)
    with served(settings, "/dev/full") as service, service.client(token) as client:
        for number in range(3):
            assert added(client, number).status_code == 201
        assert len(ids(client)) == 3


def test_a_backup_that_finds_no_room_says_so_and_leaves_nothing(disk, tmp_path):
    settings = Settings(data=tmp_path / "data")
    with_key(settings)
    disk.fill()
    disk.leave(64 * 1024)
    before = sorted(disk.folder.iterdir())
    done = subprocess.run(  # noqa: S603 - our own program
        [
            *(sys.executable, "-m", "service", "db", "backup"),
            *("--data", str(settings.data), "--to", str(disk.folder / "copy.sqlite")),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode != 0
    assert "copy.sqlite cannot be written" in done.stderr
    assert "full" in done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(disk.folder.iterdir()) == before


def test_a_journal_that_finds_no_room_takes_no_line(disk):
    journal = FileJournal(disk.folder / "journal.jsonl")
    journal.append("erase", "sc_1", START)
    disk.fill()
    disk.leave(ROOM // 2)
    for _ in range(3):
        with pytest.raises(StoreFullError):
            journal.append("revoke", "ky_2", START)
    assert journal.entries() == [("erase", "sc_1")]
    disk.clear()
    journal.append("revoke", "ky_2", START)
    assert journal.entries() == [("erase", "sc_1"), ("revoke", "ky_2")]


def has_room(journal, name):
    try:
        journal.append("erase", name, START)
    except StoreFullError:
        return False
    return True


def test_a_line_that_is_cut_off_for_want_of_room_is_no_entry(disk, monkeypatch):
    monkeypatch.setattr("service.store.journal_file.ROOM", 0)
    journal = FileJournal(disk.folder / "journal.jsonl")
    disk.fill()
    disk.leave(4096)
    written = 0
    while has_room(journal, f"sc_{written}"):
        written += 1
    whole = [("erase", f"sc_{number}") for number in range(written)]
    assert 40 < written < 80  # a block of lines
    assert journal.entries() == whole
    disk.clear()
    journal.append("revoke", "ky_2", START)
    assert journal.entries() == [*whole, ("revoke", "ky_2")]


def test_a_new_database_that_finds_no_room_is_told_in_a_sentence(disk):
    disk.fill()
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-m", "service", "db", "upgrade", "--data", str(disk.folder / "data")],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode != 0
    assert "Traceback" not in done.stderr
    assert "full" in done.stderr or "No space left" in done.stderr


def test_sqlite_that_may_not_grow_says_that_it_is_full(sqlite_files: SqliteFiles, tmp_path):
    with closing(Database.sqlite(sqlite_files.new(tmp_path), 1)) as database:

        def limited(connection):
            connection._connection.exec_driver_sql("PRAGMA max_page_count = 1")  # noqa: SLF001
            connection._connection.exec_driver_sql("CREATE TABLE hedges (id int)")  # noqa: SLF001

        with pytest.raises(StoreFullError) as told, database.writing() as session:
            limited(session)
    cause = told.value.__cause__
    assert isinstance(cause, OperationalError)
    assert isinstance(cause.orig, sqlite3.OperationalError)
    assert cause.orig.sqlite_errorcode == sqlite3.SQLITE_FULL


@pytest.mark.parametrize(
    ("state", "expected"),
    [
        ("53100", StoreFullError),  # disk_full
        ("53200", StoreBusyError),  # out_of_memory
        ("57P01", StoreBusyError),  # admin_shutdown
        ("40P01", StoreBusyError),  # deadlock_detected
    ],
)
def test_what_postgresql_says_of_itself_is_told_apart(postgresql, state, expected):
    raised = f"DO $$ BEGIN RAISE EXCEPTION 'made up' USING ERRCODE = '{state}'; END $$"
    with closing(Database.postgres(postgresql.address(TEMPLATE), 1)) as database:
        with pytest.raises(StoreBusyError) as told, database.writing() as session:
            session._connection.exec_driver_sql(raised)  # noqa: SLF001 - as the server says it
        assert type(told.value) is expected
        assert isinstance(told.value.__cause__, OperationalError)
        assert isinstance(told.value.__cause__.orig, psycopg.Error)
        database.check()
