"""Bringing a backup back without bringing back what was erased or revoked since it was made."""

import shutil
import sqlite3
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import select

from service.costing.scenario import Scenario
from service.scenarios.desk import Desk, Document
from service.scenarios.erasure import replay_journal
from service.scenarios.sharing import revoke_on_host
from service.scenarios.tokens import Peppers
from service.settings import Settings
from service.store.backup_files import (
    HEADER,
    Proof,
    automatic,
    copied_whole,
    digest,
    proof_of,
    pruned,
    schema_of,
)
from service.store.data_folder import locked, made
from service.store.database import Database
from service.store.errors import BackupError, SchemaAheadError
from service.store.journal_file import PRIVATE, FileJournal
from service.store.opening import address_of, looking, open_database, shown, telling
from service.store.tables import CREDENTIALS
from service.store.upgrading import prepare, required_to_exist, state, upgrade

ASIDE = ".restore-"
SECONDS_TO_WAIT = 10.0
SECONDS_A_TRY = 0.5
LONGER_THAN_ANY_ANSWER_IS_KEPT = timedelta(days=366)

Reader = Callable[[Document], Scenario]


@dataclass(frozen=True, slots=True)
class RestoreReport:
    """What a restore did."""

    file: Path | None
    proof: Proof | None
    """What stood beside the file; None if nothing did, so that only its soundness was checked."""
    saved: Path | None
    """Copy of what stood before."""
    erased: int
    revoked: int
    links_revoked: int


def restore(
    settings: Settings, file: Path | None, read: Reader, *, revoke_links: bool = False
) -> RestoreReport:
    """Bring a backup back, and erase and revoke again what was erased and revoked since.

    All of it is done on a copy first; what stands is replaced in one step, also under a server
    that is running.

    Parameters
    ----------
    settings : Settings
        Where the database is.
    file : Path, optional
        The backup; without it only erasures and revocations are done again, as is needed after
        PostgreSQL's own tools have brought a backup back.
    read : callable
        Turns a document into a scenario.
    revoke_links : bool
        Whether every share link is revoked.

    Raises
    ------
    OperatorError
        If that cannot be done; what stood before then stands.
    """
    if file is None:
        return _done_again(settings, read, revoke_links=revoke_links)
    address = address_of(settings)
    if address is not None:
        detail = (
            "A PostgreSQL database is brought back by its own tools: pg_restore --clean "
            f"--if-exists --dbname='{shown(address)}' {file}. Then: winterground db restore, "
            "without a file, erases and revokes again what was erased and revoked since."
        )
        raise BackupError(detail)
    with (
        locked(settings),
        TemporaryDirectory(prefix=ASIDE, dir=made(settings.data)) as folder,
    ):
        _sweep(settings, Path(folder))
        aside = settings.model_copy(update={"data": Path(folder)})
        proof = _taken_in(file, aside)
        upgrade(aside)
        erased, revoked, _ = _settle(settings, aside, read)
        saved = _saved(settings)
        _put_in_place(aside.sqlite_file, settings.sqlite_file)
        since = _settle(settings, settings, read, revoke_links=revoke_links)
        pruned(settings.backups)
    return RestoreReport(file, proof, saved, erased + since[0], revoked + since[1], since[2])


def _done_again(settings: Settings, read: Reader, *, revoke_links: bool) -> RestoreReport:
    required_to_exist(settings)
    prepare(settings)
    erased, revoked, links = _settle(settings, settings, read, revoke_links=revoke_links)
    return RestoreReport(None, None, None, erased, revoked, links)


def _sweep(settings: Settings, mine: Path) -> None:
    """Delete what a restore that was killed has left; nobody else is at work while this one is."""
    for left in settings.data.glob(f"{ASIDE}*"):
        if left != mine:
            shutil.rmtree(left, ignore_errors=True)


def _taken_in(file: Path, aside: Settings) -> Proof | None:
    """Copy a backup aside and refuse one that is not sound, or not of this program.

    Raises
    ------
    OperatorError
        If it is so.
    """
    log_file = file.with_name(file.name + "-wal")
    if log_file.exists() and log_file.stat().st_size:
        detail = f"{file} is in use ({log_file.name} lies beside it). Copy it by: db backup."
        raise BackupError(detail)
    copy = aside.sqlite_file
    try:
        shutil.copyfile(file, copy)
        with copy.open("rb") as content:
            beginning = content.read(len(HEADER))
    except OSError as error:
        detail = f"The backup {file} cannot be read: {error.strerror}."
        raise BackupError(detail) from None
    proof = proof_of(file)
    if proof is not None and proof.sha256 != digest(copy):
        detail = f"{file} was changed or cut off: its SHA-256 is not the one in {file.name}.json."
        raise BackupError(detail)
    if beginning != HEADER:
        detail = f"{file} is no SQLite database."
        raise BackupError(detail)
    if _schema_of_sound(file, copy) is None:
        detail = f"{file} is no backup of this program: it has no schema number."
        raise BackupError(detail)
    found = state(aside)
    if found.ahead:
        raise SchemaAheadError(file, found.current, found.head)
    return proof


def _schema_of_sound(file: Path, copy: Path) -> str | None:
    """Return the schema number of a copy; None if it has none.

    Raises
    ------
    BackupError
        If the copy is damaged.
    """
    try:
        with closing(sqlite3.connect(copy)) as connection:
            [answer] = connection.execute("PRAGMA integrity_check(1)").fetchone()
        schema = schema_of(copy)
    except sqlite3.Error as error:
        answer, schema = str(error), None
    if answer != "ok":
        detail = f"{file} is damaged: {answer}."
        raise BackupError(detail)
    return schema


def _settle(
    settings: Settings, where: Settings, read: Reader, *, revoke_links: bool = False
) -> tuple[int, int, int]:
    """Do again what the journal says, and forget answers kept for requests sent again.

    What was being worked at goes back into the queue: whoever had it worked on what stood before.
    """
    database = open_database(where, threads=1)
    try:
        with telling(where):
            journal = FileJournal(settings.journal_file)
            desk = Desk(store=database, journal=journal, read=read, peppers=Peppers({}))
            erased, revoked = replay_journal(desk)
            with database.writing() as session:
                session.replays.prune(desk.now() + LONGER_THAN_ANY_ANSWER_IS_KEPT)
                session.jobs.requeue()
            links = _live_links(where, database) if revoke_links else ()
            for link in links:
                revoke_on_host(desk, link)
            database.scrub()
            return erased, revoked, len(links)
    finally:
        database.close()


def _live_links(where: Settings, database: Database) -> Sequence[str]:
    """Return the ids of links that nobody has revoked, expired ones too."""
    wanted = select(CREDENTIALS.c.id).where(
        CREDENTIALS.c.scenario_id.is_not(None), CREDENTIALS.c.revoked_at.is_(None)
    )
    with looking(where, database) as connection:
        return connection.execute(wanted.order_by(CREDENTIALS.c.id)).scalars().all()


def _saved(settings: Settings) -> Path | None:
    """Copy what stands before it is replaced; None if nothing does.

    Raises
    ------
    BackupError
        If it cannot be copied.
    """
    live = settings.sqlite_file
    if not live.exists() or not live.stat().st_size:
        return None
    saved = automatic(settings.backups, "before-restore")
    try:
        copied_whole(live, saved)
    except BackupError as error:
        detail = (
            f"{error} Nothing was changed. If {live} is damaged, stop the server, move the files "
            "whose names begin so elsewhere, and restore again."
        )
        raise BackupError(detail) from None
    return saved


def _put_in_place(copy: Path, live: Path) -> None:
    """Replace the content of the database in one transaction, whoever has it open.

    Raises
    ------
    BackupError
        If somebody writes to it all the time.
    """
    last = time.monotonic() + SECONDS_TO_WAIT

    def give_up(status: int, _remaining: int, _total: int) -> None:
        if status in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED} and time.monotonic() > last:
            raise TimeoutError

    live.touch(mode=PRIVATE)
    try:
        with (
            closing(sqlite3.connect(copy)) as source,
            closing(sqlite3.connect(live, timeout=SECONDS_A_TRY)) as target,
        ):
            source.backup(target, progress=give_up, sleep=SECONDS_A_TRY)
    except TimeoutError:
        detail = f"{live} is being written to without a pause. Stop the server and restore again."
        raise BackupError(detail) from None
    except sqlite3.Error as error:
        detail = f"{live} cannot be replaced: {error}. Stop the server and restore again."
        raise BackupError(detail) from None
