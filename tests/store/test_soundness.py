"""What a check finds."""

import pytest

from service.store.errors import (
    DatabaseUnreachableError,
)
from service.store.soundness import findings
from tests.support.installation import (
    at_desk,
    damage,
    damage_in,
    without_guard,
)


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("UPDATE revisions SET document = document || ' '", "is not what it was"),
        ("UPDATE scenarios SET revision = 7", "has no revision 7"),
        ("UPDATE costings SET result = x'00'", "cannot be unpacked"),
        ("DELETE FROM offices", "is not there"),
        ("INSERT INTO erasures VALUES ('erase', 'sc_0', 0)", "the journal does not know"),
        ("UPDATE credentials SET pepper = 3", "secret 3"),
    ],
)
@pytest.mark.usefixtures("stock")
def test_a_check_finds_what_is_not_sound(settings, statement, told):
    assert findings(settings) == []
    without_guard(settings, statement)
    assert any(told in finding for finding in findings(settings))


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
