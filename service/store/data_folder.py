"""The data folder: private to whoever runs the service, used by one change of schema at a time."""

import os
from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from service.settings import Settings
from service.store.errors import DataFolderError
from service.store.journal_file import PRIVATE, synced_folder

FOLDER_MODE = 0o700
SECONDS_TO_WAIT = 60


def made(folder: Path) -> Path:
    """Return a folder, made for its owner alone if it was not there.

    Raises
    ------
    DataFolderError
        If it cannot be made.
    """
    try:
        folder.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
    except OSError as error:
        raise _unusable(folder, error) from None
    return folder


@contextmanager
def locked(settings: Settings, *, seconds: float = SECONDS_TO_WAIT) -> Generator[None]:
    """Keep other processes from changing the data folder meanwhile.

    Raises
    ------
    DataFolderError
        If another holds it for too long, or the folder cannot be written to.
    """
    lock = FileLock(made(settings.data) / "winterground.lock", timeout=seconds, mode=PRIVATE)
    try:
        lock.acquire()
    except Timeout:
        detail = f"Another process has been at work in {settings.data} for {seconds:g} seconds."
        raise DataFolderError(detail) from None
    except OSError as error:
        raise _unusable(settings.data, error) from None
    try:
        yield
    finally:
        lock.release()


def written(path: Path, text: str) -> None:
    """Write a file for its owner alone, so that it is there whole or not at all."""
    unfinished = path.with_name(f"{path.name}.{os.getpid()}.part")
    descriptor = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, PRIVATE)
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    synced_folder(path.parent)


def _unusable(folder: Path, error: OSError) -> DataFolderError:
    return DataFolderError(f"The data folder {folder} cannot be used: {error.strerror}.")
