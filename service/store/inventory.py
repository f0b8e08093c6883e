"""What an installation holds: which database, which schema, how much of everything."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, FromClause, func, select, text
from sqlalchemy.engine import Connection

from service.scenarios.clock import utc_now
from service.settings import Settings
from service.store.backup_files import kept, made_at
from service.store.database import Database
from service.store.job_tables import IS_SWEEP, JOBS
from service.store.journal_file import FileJournal
from service.store.opening import address_of, looking, open_database, place_of
from service.store.past_winter_tables import PAST_WINTERS
from service.store.tables import COSTINGS, CREDENTIALS, NOTES, OFFICES, REVISIONS, SCENARIOS
from service.store.upgrading import SchemaState, state
from service.store.weather_tables import WEATHER_RECORDS


@dataclass(frozen=True, slots=True)
class Inventory:
    """What an installation holds."""

    kind: str
    place: str
    schema: SchemaState
    bytes: int
    counts: Mapping[str, int]
    """By what is counted; empty while the schema is not the program's."""
    last_backup: datetime | None
    """Of those in the data folder."""
    journal_entries: int


def inventory(settings: Settings) -> Inventory:
    """Return what an installation holds; nothing is made.

    Raises
    ------
    OperatorError
        If the database or the journal cannot be read.
    """
    schema = state(settings)
    embedded = address_of(settings) is None
    size, counts = 0, dict[str, int]()
    if schema.current is not None:
        database = open_database(settings, threads=1)
        try:
            with looking(settings, database) as connection:
                size = _size(connection, settings, database)
                if not schema.behind and not schema.ahead:
                    counts = _counts(connection)
        finally:
            database.close()
    backups = kept(settings.backups)
    return Inventory(
        kind="sqlite" if embedded else "postgresql",
        place=place_of(settings),
        schema=schema,
        bytes=size,
        counts=counts,
        last_backup=made_at(backups[-1]) if backups else None,
        journal_entries=len(FileJournal(settings.journal_file).entries()),
    )


def _size(connection: Connection, settings: Settings, database: Database) -> int:
    if database.kind == "postgresql":
        size = text("SELECT pg_database_size(current_database())")
        return int(connection.execute(size).scalar_one())
    beginning = settings.sqlite_file.name
    return sum(file.stat().st_size for file in settings.data.glob(f"{beginning}*"))


def _counts(connection: Connection) -> dict[str, int]:
    live = [CREDENTIALS.c.revoked_at.is_(None), CREDENTIALS.c.expires_at > utc_now()]
    binned = SCENARIOS.c.binned_at.is_not(None)
    questions: dict[str, tuple[FromClause, list[ColumnElement[bool]]]] = {
        "offices": (OFFICES, []),
        "live_keys": (CREDENTIALS, [*live, CREDENTIALS.c.scenario_id.is_(None)]),
        "live_links": (CREDENTIALS, [*live, CREDENTIALS.c.scenario_id.is_not(None)]),
        "scenarios": (SCENARIOS, [~binned]),
        "in_the_bin": (SCENARIOS, [binned]),
        "revisions": (REVISIONS, []),
        "costings": (COSTINGS, []),
        "notes": (NOTES, []),
        "winters": (PAST_WINTERS, []),
        "weather_records": (WEATHER_RECORDS, []),
        "analyses": (JOBS, [~IS_SWEEP]),
        "sweeps": (JOBS, [IS_SWEEP]),
    }
    return {
        what: connection.execute(
            select(func.count()).select_from(table).where(*conditions)
        ).scalar_one()
        for what, (table, conditions) in questions.items()
    }
