"""The schema of the database: which there is, which the program needs, and from one to the other.

It is changed in the process of the command line, once and under a lock, never by a worker.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect
from sqlalchemy.engine import Connection

from service.settings import Settings
from service.store.backup_files import automatic, copied_whole, pruned
from service.store.data_folder import locked
from service.store.database import Database
from service.store.errors import (
    ForeignDatabaseError,
    NoDatabaseError,
    SchemaAheadError,
    SchemaBehindError,
)
from service.store.opening import address_of, looking, open_database, place_of, telling

if TYPE_CHECKING:
    from alembic.config import Config
    from alembic.script import ScriptDirectory

VERSION_TABLE = "alembic_version"


@dataclass(frozen=True, slots=True)
class SchemaState:
    """Which schema there is and which there should be."""

    current: str | None
    """None for an empty database."""
    head: str
    behind: bool
    ahead: bool
    """Whether it is one that this program does not know."""


@dataclass(frozen=True, slots=True)
class Upgraded:
    """What an upgrade did."""

    before: str | None
    now: str
    backup: Path | None = None
    """Copy of the embedded database as it was."""


def migrations_folder() -> Path:
    """Return where the steps from schema to schema lie: in the package, else in the tree."""
    packaged = Path(__file__).parent / "migrations"
    return packaged if (packaged / "env.py").is_file() else Path(__file__).parents[2] / "migrations"


def state(settings: Settings) -> SchemaState:
    """Return which schema the database has; nothing is made.

    Raises
    ------
    OperatorError
        If the database does not answer, or is another program's.
    """
    if address_of(settings) is None and not settings.sqlite_file.exists():
        return _state(None)
    database = open_database(settings, threads=1)
    try:
        return state_of(settings, database)
    finally:
        database.close()


def state_of(settings: Settings, database: Database) -> SchemaState:
    """Return which schema an open database has.

    Raises
    ------
    OperatorError
        If the database does not answer, or is another program's.
    """
    with looking(settings, database) as connection:
        return state_at(connection, place_of(settings))


def state_at(connection: Connection, place: str) -> SchemaState:
    """Return which schema the database at a connection has.

    Raises
    ------
    ForeignDatabaseError
        If it is another program's.
    """
    from alembic.migration import MigrationContext  # noqa: PLC0415 - most commands do without

    current = MigrationContext.configure(connection).get_current_revision()
    if current is None and connection.dialect.name == "sqlite":
        tables = set(inspect(connection).get_table_names()) - {VERSION_TABLE}
        if tables:
            detail = f"{place} belongs to another program: it has tables but no schema number."
            raise ForeignDatabaseError(detail)
    return _state(current)


def upgrade(settings: Settings) -> Upgraded:
    """Bring the database to the schema of the program; an embedded one is copied first.

    Raises
    ------
    OperatorError
        If that cannot be done; the database is then as it was.
    """
    with locked(settings):
        database = open_database(settings, threads=1)
        try:
            return _upgraded(settings, database)
        finally:
            database.close()


def prepare(settings: Settings, *, migrate: bool = False) -> Upgraded:
    """Make the database ready to be used, or refuse.

    An embedded one is upgraded. One that several hosts may share is upgraded only when asked for.

    Parameters
    ----------
    settings : Settings
        Where it is.
    migrate : bool
        Whether a shared one is upgraded too.

    Raises
    ------
    OperatorError
        If it cannot be made ready.
    """
    found = state(settings)
    place = place_of(settings)
    if found.ahead:
        raise SchemaAheadError(place, found.current, found.head)
    if address_of(settings) is None:
        pruned(settings.backups)
    elif found.behind and not migrate:
        raise SchemaBehindError(place, found.current, found.head)
    return upgrade(settings) if found.behind else Upgraded(found.current, found.head)


def required(settings: Settings) -> None:
    """Refuse a database that is not there or not at the schema of the program.

    Raises
    ------
    OperatorError
        If it is so.
    """
    found = state(settings)
    place = place_of(settings)
    if found.ahead:
        raise SchemaAheadError(place, found.current, found.head)
    if found.current is None and address_of(settings) is None:
        detail = f"There is no database {place} yet. winterground key create makes it."
        raise NoDatabaseError(detail)
    if found.behind:
        raise SchemaBehindError(place, found.current, found.head)


def required_to_exist(settings: Settings) -> None:
    """Refuse an embedded database that is not there.

    Raises
    ------
    OperatorError
        If there is none.
    """
    if address_of(settings) is None and state(settings).current is None:
        required(settings)


def run_migrations(connection: Connection) -> None:
    """Bring the database at a connection to the schema of the program."""
    from alembic import command  # noqa: PLC0415 - most commands do without

    config = _config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _upgraded(settings: Settings, database: Database) -> Upgraded:
    found = state_of(settings, database)
    if found.ahead:
        raise SchemaAheadError(place_of(settings), found.current, found.head)
    if not found.behind:
        return Upgraded(found.current, found.head)
    backup = None
    if database.kind == "sqlite" and found.current is not None:
        backup = automatic(settings.backups, f"before-{found.head}")
        copied_whole(settings.sqlite_file, backup)
        pruned(settings.backups)
    with telling(settings), database.engine.begin() as connection:
        run_migrations(connection)
    return Upgraded(found.current, found.head, backup)


def _state(current: str | None) -> SchemaState:
    scripts = _scripts()
    head = str(scripts.get_current_head())
    known = {script.revision for script in scripts.walk_revisions()}
    ahead = current is not None and current not in known
    return SchemaState(current, head, behind=current != head and not ahead, ahead=ahead)


def _config() -> "Config":
    from alembic.config import Config  # noqa: PLC0415 - most commands do without

    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    return config


def _scripts() -> "ScriptDirectory":
    from alembic.script import ScriptDirectory  # noqa: PLC0415 - most commands do without

    return ScriptDirectory.from_config(_config())
