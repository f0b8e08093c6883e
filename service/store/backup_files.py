"""Files of backups: whole copies of an embedded database, each with its proof beside it.

Those in the folder of backups are forgotten after some weeks, so that what is erased today is gone
from them too by a day that can be named.
"""

import json
import os
import re
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from hashlib import file_digest
from pathlib import Path

from service.scenarios.clock import utc_now
from service.scenarios.erasure import BACKUP_DAYS
from service.store.data_folder import made, synced_folder, written
from service.store.errors import BackupError
from service.store.journal_file import PRIVATE, written_time

TIME_IN_NAME = "%Y%m%dT%H%M%S%f"
NAME = re.compile(r"(?:backup|before)-(?:.*-)?(?P<time>\d{8}T\d{12})Z\.sqlite(?:\.json)?")
HEADER = b"SQLite format 3\x00"


@dataclass(frozen=True, slots=True)
class Proof:
    """What stands beside a backup."""

    sha256: str
    schema: str | None
    made_at: str
    bytes: int


def automatic(folder: Path, beginning: str) -> Path:
    """Return a name for a copy made now; it says when."""
    now = utc_now()
    return made(folder) / f"{beginning}-{now.strftime(TIME_IN_NAME)}Z.sqlite"


def copied_whole(source: Path, target: Path) -> Proof:
    """Copy a database that may be in use, and write what proves the copy beside it.

    Raises
    ------
    BackupError
        If the target is there already or cannot be written.
    """
    try:
        os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, PRIVATE))
    except FileExistsError:
        detail = f"{target} is there already; a backup is never written over."
        raise BackupError(detail) from None
    except OSError as error:
        raise _unwritten(target, error.strerror) from None
    try:
        with closing(sqlite3.connect(source)) as connection:
            connection.execute("VACUUM INTO ?", (str(target),))
        with target.open("rb+") as file:
            os.fsync(file.fileno())
        proof = Proof(
            digest(target),
            schema_of(target),
            written_time(utc_now()),
            target.stat().st_size,
        )
        written(beside(target), json.dumps(asdict(proof), indent=1) + "\n")
        synced_folder(target.parent)
    except (OSError, sqlite3.Error) as error:
        for half in (target, beside(target), target.with_name(f"{target.name}-journal")):
            half.unlink(missing_ok=True)
        raise _unwritten(target, str(error)) from None
    return proof


def proof_of(file: Path) -> Proof | None:
    """Return what stands beside a backup; None if nothing does.

    Raises
    ------
    BackupError
        If it cannot be read.
    """
    try:
        found = json.loads(beside(file).read_text("utf-8"))
        return Proof(**found)
    except FileNotFoundError:
        return None
    except (OSError, ValueError, TypeError):
        detail = f"{beside(file)}, which proves the backup, cannot be read."
        raise BackupError(detail) from None


def schema_of(file: Path) -> str | None:
    """Return the schema number of a database that nobody writes to; None if it has none.

    Raises
    ------
    sqlite3.Error
        If it is no database.
    """
    with closing(sqlite3.connect(file)) as connection:
        found = connection.execute(
            "SELECT count(*) FROM sqlite_master WHERE name = 'alembic_version'"
        ).fetchone()
        if not found[0]:
            return None
        row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    return None if row is None else str(row[0])


def digest(file: Path) -> str:
    """Return the SHA-256 of a file."""
    with file.open("rb") as content:
        return file_digest(content, "sha256").hexdigest()


def beside(file: Path) -> Path:
    """Return where what proves a backup stands."""
    return file.with_name(file.name + ".json")


def made_at(file: Path) -> datetime | None:
    """Return when a backup was made, by its name; None if it was not named here."""
    match = NAME.fullmatch(file.name)
    if match is None:
        return None
    return datetime.strptime(match["time"], TIME_IN_NAME).replace(tzinfo=UTC)


def kept(folder: Path) -> Sequence[Path]:
    """Return the backups in a folder, oldest first."""
    found = [file for file in folder.glob("*.sqlite") if made_at(file) is not None]
    return sorted(found, key=lambda file: str(made_at(file)))


def pruned(folder: Path, now: datetime | None = None) -> Sequence[Path]:
    """Delete backups that are older than they may be, and return their names.

    Only files that are named as here are deleted.
    """
    oldest = (now or utc_now()) - timedelta(days=BACKUP_DAYS)
    gone: list[Path] = []
    for file in folder.glob("*") if folder.is_dir() else ():
        at = made_at(file)
        if at is not None and at < oldest:
            file.unlink(missing_ok=True)
            gone.append(file)
    return gone


def _unwritten(target: Path, why: str | None) -> BackupError:
    return BackupError(f"The backup {target} cannot be written: {why}.")
