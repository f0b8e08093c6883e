"""The journal: what a crash may leave of it, and what is refused."""

import json
import logging
import re
import stat
import subprocess
import sys
from datetime import UTC, datetime, timedelta, timezone

import pytest

from service.store.errors import JournalError
from service.store.journal_file import FileJournal

AT = datetime(2026, 2, 3, 7, 30, 0, 125_000, tzinfo=UTC)
RFC_3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
"""RFC 3339, section 5.6: date-time."""


@pytest.fixture
def journal(tmp_path):
    return FileJournal(tmp_path / "journal.jsonl")


def test_what_was_written_comes_back_in_order(journal):
    assert journal.entries() == []
    journal.append("erase", "sc_1", AT)
    journal.append("revoke", "ky_1", AT)
    journal.append("erase", "sc_1", AT)
    assert journal.entries() == [("erase", "sc_1"), ("revoke", "ky_1"), ("erase", "sc_1")]


def test_a_line_is_one_json_object_with_an_rfc_3339_time_in_utc(journal):
    east = timezone(timedelta(hours=5, minutes=30))
    journal.append("erase", "sc_1", AT.astimezone(east))
    [line] = journal.path.read_text().splitlines()
    entry = json.loads(line)
    assert entry == {"at": "2026-02-03T07:30:00.125Z", "act": "erase", "id": "sc_1"}
    assert RFC_3339.fullmatch(entry["at"])


def test_the_file_is_for_its_owner_alone(journal):
    journal.append("erase", "sc_1", AT)
    assert stat.S_IMODE(journal.path.stat().st_mode) == 0o600


@pytest.mark.parametrize("left", range(1, 20))
def test_a_line_that_a_crash_cut_off_is_skipped_and_said(journal, caplog, left):
    journal.append("erase", "sc_1", AT)
    whole = journal.path.read_bytes()
    journal.path.write_bytes(whole + whole[:left])
    with caplog.at_level(logging.WARNING):
        assert journal.entries() == [("erase", "sc_1")]
    assert "line 2" in caplog.text


@pytest.mark.parametrize("torn", [b'{"at": "2026-', b"\0\0\0\0", b"\xff\xfe"])
def test_what_is_written_after_a_crash_is_not_lost_in_the_torn_line(journal, torn):
    journal.append("erase", "sc_1", AT)
    with journal.path.open("ab") as file:
        file.write(torn)
    journal.append("revoke", "ky_2", AT)
    journal.append("erase", "sc_3", AT)
    assert journal.entries() == [("erase", "sc_1"), ("revoke", "ky_2"), ("erase", "sc_3")]


def test_a_whole_line_that_lacks_its_end_alone_counts_before_and_after_the_next(journal):
    journal.append("erase", "sc_1", AT)
    journal.path.write_bytes(journal.path.read_bytes().rstrip(b"\n"))
    assert journal.entries() == [("erase", "sc_1")]
    journal.append("erase", "sc_2", AT)
    assert journal.entries() == [("erase", "sc_1"), ("erase", "sc_2")]


@pytest.mark.parametrize(
    "line",
    [
        b"nonsense",
        b"[1]",
        b'{"act": "erase", "id": "sc_9"}',
        b'{"at": "2026-02-03T07:30:00Z", "act": "forget", "id": "sc_9"}',
        b'{"at": "2026-02-03T07:30:00Z", "act": "erase", "id": 9}',
        b'{"at": "yesterday", "act": "erase", "id": "sc_9"}',
        b'{"at": 3, "act": "erase", "id": "sc_9"}',
        b'{"at": "2026-02-03T07:30:00Z", "act": ["erase"], "id": "sc_9"}',
    ],
)
def test_any_other_faulty_line_is_an_error_that_names_it(journal, line):
    journal.append("erase", "sc_1", AT)
    with journal.path.open("ab") as file:
        file.write(line + b"\n")
    journal.append("erase", "sc_2", AT)
    with pytest.raises(JournalError, match="Line 2"):
        journal.entries()


def test_a_journal_that_cannot_be_read_is_an_error(tmp_path):
    with pytest.raises(JournalError, match="cannot be read"):
        FileJournal(tmp_path).entries()


def test_a_journal_that_cannot_be_written_is_an_error(tmp_path):
    with pytest.raises(OSError, match="directory"):
        FileJournal(tmp_path).append("erase", "sc_1", AT)


WRITE_MANY = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from service.store.journal_file import FileJournal
for count in range(100):
    name = f"sc_{sys.argv[2]}_{count}"
    FileJournal(Path(sys.argv[1])).append("erase", name, datetime.now(UTC))
"""


def test_processes_that_write_at_once_do_not_mix_their_lines(journal):
    writers = [
        subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-c", WRITE_MANY, str(journal.path), str(number)]
        )
        for number in range(4)
    ]
    assert [writer.wait(timeout=60) for writer in writers] == [0] * 4
    entries = journal.entries()
    assert len(entries) == 400
    for number in range(4):
        mine = [one for _, one in entries if one.startswith(f"sc_{number}_")]
        assert mine == [f"sc_{number}_{count}" for count in range(100)]
