"""Whether what is kept is whole, and whether what was erased or revoked is gone.

Every finding is a sentence. Everything is read; nothing is changed.
"""

import gzip
import json
import zlib
from collections.abc import Callable, Iterator, Sequence
from hashlib import sha256

from sqlalchemy import Column, exists, select, text
from sqlalchemy.engine import Connection

from service.scenarios.clock import utc_now
from service.settings import Settings
from service.store.errors import OperatorError
from service.store.job_tables import JOBS
from service.store.journal_file import FileJournal
from service.store.opening import looking, open_database
from service.store.pepper_file import are_there, peppers_of
from service.store.tables import COSTINGS, CREDENTIALS, ERASURES, REVISIONS, SCENARIOS
from service.store.upgrading import required
from service.store.weather_tables import WEATHER_CLASSIFICATIONS, WEATHER_RECORDS

ROWS_AT_ONCE = 500
LARGE_AT_ONCE = 20
MOST_FINDINGS = 100
"""Of one kind; a damaged database need not be told row by row."""


def findings(settings: Settings) -> Sequence[str]:
    """Return what is wrong; nothing if all is sound.

    Raises
    ------
    OperatorError
        If the database cannot be looked at.
    """
    found: list[str] = []
    required(settings)
    database = open_database(settings, threads=1)
    checks: list[Callable[[Connection], Iterator[str]]] = [
        _revisions,
        _heads,
        _costings,
        _answers,
        _weather,
        lambda connection: _gone(connection, settings),
        lambda connection: _openable(connection, settings),
    ]
    if database.kind == "sqlite":
        checks.insert(0, _file)
    try:
        for check in checks:
            try:
                with looking(settings, database) as connection:
                    found += _some(check(connection))
            except OperatorError as error:
                found.append(str(error))
    finally:
        database.close()
    return found


def _some(sentences: Iterator[str]) -> Iterator[str]:
    for number, sentence in enumerate(sentences, start=1):
        if number > MOST_FINDINGS:
            yield "... and more of the same kind."
            return
        yield sentence


def _file(connection: Connection) -> Iterator[str]:
    for [answer] in connection.execute(text("PRAGMA integrity_check")):
        if answer != "ok":
            yield f"The file is damaged: {answer}."
    for table, row, parent, _ in connection.execute(text("PRAGMA foreign_key_check")):
        yield f"Row {row} of {table} belongs to a row of {parent} that is not there."


def _revisions(connection: Connection) -> Iterator[str]:
    columns = REVISIONS.c
    wanted = select(
        columns.scenario_id, columns.number, columns.document_sha256, columns.document
    ).execution_options(yield_per=ROWS_AT_ONCE)
    for scenario, number, expected, document in connection.execute(wanted):
        if sha256(document.encode()).hexdigest() != expected:
            yield f"Revision {number} of {scenario} is not what it was when it was kept (SHA-256)."


def _heads(connection: Connection) -> Iterator[str]:
    newest = exists().where(
        REVISIONS.c.scenario_id == SCENARIOS.c.id, REVISIONS.c.number == SCENARIOS.c.revision
    )
    wanted = select(SCENARIOS.c.id, SCENARIOS.c.revision).where(~newest)
    for scenario, revision in connection.execute(wanted):
        yield f"Scenario {scenario} has no revision {revision}, which should be its newest."


def _costings(connection: Connection) -> Iterator[str]:
    for costing in _broken(connection, COSTINGS.c.id, COSTINGS.c.result, _read_answer):
        yield f"Stored costing {costing} cannot be unpacked."


def _answers(connection: Connection) -> Iterator[str]:
    for job in _broken(connection, JOBS.c.id, JOBS.c.result, _read_answer):
        yield f"The answer of analysis {job} cannot be unpacked."


def _weather(connection: Connection) -> Iterator[str]:
    columns = WEATHER_RECORDS.c
    for record in _broken(connection, columns.id, columns.days, gzip.decompress):
        yield f"The days of weather record {record} cannot be unpacked."
    newest = exists().where(
        WEATHER_CLASSIFICATIONS.c.record_id == columns.id,
        WEATHER_CLASSIFICATIONS.c.classifier == columns.classifier,
    )
    for record in connection.execute(select(columns.id).where(~newest)).scalars():
        yield f"The winters of weather record {record} that should be its newest are not there."


def _broken(
    connection: Connection,
    key: Column[str],
    packed: Column[bytes],
    read: Callable[[bytes], object],
) -> Iterator[str]:
    """Return the ids of rows whose content cannot be read."""
    wanted = select(key, packed).where(packed.is_not(None))
    for row_id, content in connection.execute(wanted.execution_options(yield_per=LARGE_AT_ONCE)):
        try:
            read(content)
        except (OSError, EOFError, zlib.error, ValueError):
            yield row_id


def _read_answer(content: bytes) -> object:
    return json.loads(gzip.decompress(content))


def _gone(connection: Connection, settings: Settings) -> Iterator[str]:
    """Compare the journal with its copy in the database, and both with what is there."""
    journal = set(FileJournal(settings.journal_file).entries())
    copied = {
        (act, object_id)
        for act, object_id in connection.execute(select(ERASURES.c.act, ERASURES.c.object_id))
    }
    for act, object_id in sorted(journal - copied):
        yield f"The journal has '{act} {object_id}', the database does not know of it."
    for act, object_id in sorted(copied - journal):
        yield f"The database has '{act} {object_id}', the journal does not know of it."
    acts = journal | copied
    for scenario in connection.execute(select(SCENARIOS.c.id)).scalars():
        if ("erase", scenario) in acts:
            yield f"Scenario {scenario} was erased and is there. winterground db restore erases it."
    live = select(CREDENTIALS.c.id).where(CREDENTIALS.c.revoked_at.is_(None))
    for credential in connection.execute(live).scalars():
        if ("revoke", credential) in acts:
            yield f"{credential} was revoked and is live. winterground db restore revokes it."


def _openable(connection: Connection, settings: Settings) -> Iterator[str]:
    """Tell which secrets are missing that credentials were hashed with."""
    known = set(peppers_of(settings).secrets) if are_there(settings) else set[int]()
    live = [CREDENTIALS.c.revoked_at.is_(None), CREDENTIALS.c.expires_at > utc_now()]
    wanted = select(CREDENTIALS.c.pepper).where(*live).distinct()
    for number in sorted(connection.execute(wanted).scalars()):
        if number not in known:
            yield f"Keys or links were hashed with secret {number}, which is not there."
