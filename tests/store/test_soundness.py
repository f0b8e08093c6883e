"""What a check finds."""

import gzip

import pytest

from service.store.errors import (
    DatabaseUnreachableError,
)
from service.store.soundness import findings
from tests.support.installation import (
    at_desk,
    caller_of,
    damage,
    damage_in,
    without_guard,
)
from tests.support.offices import head, job, keep, weather_record


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("UPDATE revisions SET document = document || ' '", "is not what it was"),
        ("UPDATE scenarios SET revision = 7", "has no revision 7"),
        ("UPDATE costings SET result = x'00'", "cannot be unpacked"),
        ("UPDATE jobs SET result = x'1f8b'", "answer of analysis"),
        ("UPDATE weather_records SET days = x'00'", "days of weather record"),
        ("UPDATE weather_records SET classifier = 'other'", "winters of weather record"),
        ("DELETE FROM offices", "is not there"),
        ("INSERT INTO erasures VALUES ('erase', 'sc_0', 0)", "the journal does not know"),
        ("UPDATE credentials SET pepper = 3", "secret 3"),
    ],
)
def test_a_check_finds_what_is_not_sound(settings, stock, statement, told):
    answer_and_keep_weather(settings, stock)
    assert findings(settings) == []
    without_guard(settings, statement)
    assert any(told in finding for finding in findings(settings))


def answer_and_keep_weather(settings, stock):
    """Keep a question that is answered, one that waits, and a weather record."""
    with at_desk(settings) as desk:
        office_id = caller_of(desk, stock.admin).office_id
        owner = head(office_id=office_id, id=stock.scenarios[0])
        answer = gzip.compress(b"{}", mtime=0)
        with desk.store.writing() as session:
            keep(session, job(1, owner, state="done", result=answer), job(2, owner))
            keep(session, weather_record(office_id=office_id))


def test_a_check_finds_what_should_be_gone(settings, stock):
    with at_desk(settings) as desk:
        now = desk.now()
        desk.journal.append("erase", stock.scenarios[0], now)
        desk.journal.append("revoke", stock.link_id, now)
    found = "\n".join(findings(settings))
    assert f"Scenario {stock.scenarios[0]} was erased and is there" in found
    assert f"{stock.link_id} was revoked and is live" in found
    assert "the database does not know of it" in found


@pytest.mark.usefixtures("stock")
def test_a_check_finds_a_damaged_file_and_a_damaged_journal(settings):
    settings.journal_file.write_text("nonsense\n{}\n")
    assert any("Line 1" in finding for finding in findings(settings))
    damage_in(settings, "ix_notes_page")
    assert any("damaged" in finding for finding in findings(settings))


@pytest.mark.usefixtures("stock")
def test_a_database_that_is_damaged_all_over_is_told(settings):
    damage(settings.sqlite_file)
    with pytest.raises(DatabaseUnreachableError, match="malformed"):
        findings(settings)
