"""Backing the embedded database up, in use or not."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from service.settings import Settings
from service.store.backup_files import Proof, automatic, copied_whole, pruned
from service.store.data_folder import locked
from service.store.errors import BackupError
from service.store.opening import address_of, shown
from service.store.upgrading import required_to_exist


@dataclass(frozen=True, slots=True)
class BackupReport:
    """What a backup made."""

    file: Path
    proof: Proof
    forgotten: Sequence[Path]
    """Backups that were too old and are deleted."""


def backup(settings: Settings, to: Path | None = None) -> BackupReport:
    """Copy the embedded database as it is now, in use or not.

    Parameters
    ----------
    settings : Settings
        Where it is.
    to : Path, optional
        A file that is not there yet, or a folder; by default the folder of backups.

    Raises
    ------
    OperatorError
        If that cannot be done.
    """
    address = address_of(settings)
    if address is not None:
        detail = (
            "A PostgreSQL database is backed up by its own tools: pg_dump --format=custom "
            f"--file=winterground.dump --dbname='{shown(address)}'. Keep the data folder's "
            "journal and secrets too, apart from it."
        )
        raise BackupError(detail)
    required_to_exist(settings)
    with locked(settings):
        file = automatic(settings.backups, "backup") if to is None else to
        if file.is_dir():
            file = automatic(file, "backup")
        proof = copied_whole(settings.sqlite_file, file)
        return BackupReport(file, proof, pruned(settings.backups))
