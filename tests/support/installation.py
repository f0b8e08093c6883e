"""An installation in a folder: what an operator has before something goes wrong."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from pydantic import SecretStr

from service.scenarios.access import identified
from service.scenarios.costings import costing_now
from service.scenarios.desk import Caller, Desk
from service.scenarios.erasure import erase
from service.scenarios.keeping import create, current
from service.scenarios.notes import add_note
from service.scenarios.sharing import make_key_on_host, make_link
from service.settings import Settings
from service.store import upgrading
from service.store.opening import close_desk, open_desk
from service.web.facts_reading import facts_of
from service.web.reading import scenario_of
from tests.support.offices import small_document

NEXT_SCHEMA = '''"""A step that no release has."""

from alembic import op

revision, down_revision, branch_labels, depends_on = "9999", "{head}", None, None


def upgrade() -> None:
    op.execute("{statement}")


def downgrade() -> None:
    pass
'''


@dataclass(frozen=True)
class Stock:
    """Who is there and what is kept."""

    admin: str
    """Tokens."""
    other_key: str
    link: str
    other_key_id: str
    link_id: str
    scenarios: tuple[str, str]


def installation(folder: Path, database: str | None = None) -> Settings:
    """Return the settings of an installation that nothing is in yet."""
    address = None if database is None else SecretStr(database)
    return Settings(data=folder, database=address, peppers=None)


@contextmanager
def at_desk(settings: Settings) -> Iterator[Desk]:
    """Open the desk for a while."""
    desk = open_desk(settings, scenario_of, facts_of)
    try:
        yield desk
    finally:
        close_desk(desk)


def stocked(settings: Settings) -> Stock:
    """Make the database and keep two scenarios of an office in it."""
    upgrading.upgrade(settings)
    with at_desk(settings) as desk:
        _, _, admin = make_key_on_host(desk, "Tansy", "admin", "first", 30)
        _, other, other_token = make_key_on_host(desk, "Tansy", "write", "second", 30)
        caller = caller_of(desk, admin)
        first = create(desk, caller, small_document(name="Larkspur Bottom"))
        second = create(desk, caller, small_document(name="Quillwort End"))
        costing_now(desk, caller, first.head.id)
        add_note(desk, caller, first.head.id, "Gate hangs loose.", None, None)
        link, link_token = make_link(desk, caller, second.head.id, "read", "phone", 30)
    return Stock(admin, other_token, link_token, other.id, link.id, (first.head.id, second.head.id))


def caller_of(desk: Desk, token: str) -> Caller:
    """Return who shows a token."""
    with desk.store.reading() as session:
        return identified(session, desk, token)[0]


def name_of(settings: Settings, token: str, scenario: str) -> str:
    """Return the name of a scenario as a caller reads it."""
    with at_desk(settings) as desk:
        caller = caller_of(desk, token)
        with desk.store.reading() as session:
            return current(session, desk, caller, scenario).head.name


def erase_first(settings: Settings, stock: Stock) -> None:
    """Erase the first of the two scenarios."""
    with at_desk(settings) as desk:
        erase(desk, caller_of(desk, stock.admin), stock.scenarios[0])


def damage(file: Path) -> None:
    """Overwrite all but the first page, which says that it is a database."""
    size = file.stat().st_size
    for leftover in ("-wal", "-shm"):
        file.with_name(file.name + leftover).unlink(missing_ok=True)
    file.write_bytes(file.read_bytes()[:4096] + b"\x01" * (size - 4096))


def damage_in(settings: Settings, name: str) -> None:
    """Overwrite the first page of a table or an index."""
    with closing(sqlite3.connect(settings.sqlite_file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        wanted = "SELECT rootpage FROM sqlite_master WHERE name = ?"
        [page] = connection.execute(wanted, (name,)).fetchone()
    content = bytearray(settings.sqlite_file.read_bytes())
    content[(page - 1) * 4096 : page * 4096] = b"\x07" * 4096
    settings.sqlite_file.write_bytes(content)


def without_guard(settings: Settings, *statements: str) -> None:
    """Change an embedded database behind the back of everything that guards it."""
    with closing(sqlite3.connect(settings.sqlite_file)) as connection, connection:
        triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        for [name] in connection.execute(triggers).fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)


def newer_program(
    monkeypatch: pytest.MonkeyPatch, folder: Path, statement: str = "CREATE TABLE hedges (id int)"
) -> None:
    """Let the program have one more step of the schema than it has."""
    source = upgrading.migrations_folder()
    steps = folder / "migrations"
    (steps / "versions").mkdir(parents=True)
    for file in [source / "env.py", *(source / "versions").glob("*.py")]:
        (steps / file.relative_to(source)).write_text(file.read_text())
    head = upgrading.state(installation(folder / "none")).head
    text = NEXT_SCHEMA.format(head=head, statement=statement)
    (steps / "versions" / "next.py").write_text(text)
    monkeypatch.setattr(upgrading, "migrations_folder", lambda: steps)
