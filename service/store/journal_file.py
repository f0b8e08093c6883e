"""The journal: a file outside the database of what was erased and revoked.

After a restore it is replayed, so that what was gone stays gone. It is only ever added to, one
JSON object a line. A line that a crash cut off is closed by a mark when the next one is written.
"""

import errno
import json
import logging
import os
import shutil
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal, cast

from service.scenarios.errors import StoreFullError
from service.store.errors import JournalError

ACTS = ("erase", "revoke")
TORN = b"#torn"
PRIVATE = 0o600
NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
ROOM = 1_048_576
"""What must be free for an act to be written down [byte]: the database, which may lie on the same
disk, needs room for it too, and its commit comes after the line that tells of it."""
APPENDING = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)

log = logging.getLogger(__name__)


class FileJournal:
    """A journal kept in a file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def append(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None:
        """Write an act down, and return once it is on the disk.

        Raises
        ------
        StoreFullError
            If there is no room for it.
        OSError
            If it cannot be written whole for another reason.
        """
        if shutil.disk_usage(self.path.parent).free < ROOM:
            raise StoreFullError
        try:
            self._append(act, object_id, at)
        except OSError as error:
            if error.errno in NO_ROOM:
                raise StoreFullError from error
            raise

    def entries(self) -> Sequence[tuple[str, str]]:
        """Return pairs of act and id, oldest first.

        Raises
        ------
        JournalError
            If a line is none that was written here.
        """
        return list(self._read())

    def _append(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None:
        line = json.dumps({"at": written_time(at), "act": act, "id": object_id}).encode() + b"\n"
        is_new = not self.path.exists()
        descriptor = os.open(self.path, APPENDING, PRIVATE)
        try:
            if _ends_torn(descriptor):
                line = TORN + b"\n" + line
            if os.write(descriptor, line) != len(line):
                detail = "the disk took only part of a line"
                raise OSError(errno.ENOSPC, detail, str(self.path))
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        if is_new:
            synced_folder(self.path.parent)

    def _read(self) -> Iterator[tuple[str, str]]:
        try:
            lines = self.path.read_bytes().split(b"\n")
        except FileNotFoundError:
            return
        except OSError as error:
            detail = f"The journal {self.path} cannot be read: {error.strerror}."
            raise JournalError(detail) from None
        for number, line in enumerate(lines, start=1):
            entry = _entry(line.removesuffix(TORN))
            if entry is not None:
                yield entry
            elif line.endswith(TORN) or (line and number == len(lines)):
                log.warning(
                    "line %d of %s was cut off by a crash and is skipped", number, self.path
                )
            elif line:
                detail = (
                    f"Line {number} of the journal {self.path} cannot be read. Without it "
                    "something erased or revoked may come back: mend it from a copy of the file."
                )
                raise JournalError(detail)


def written_time(at: datetime) -> str:
    """Return a time as RFC 3339 has it, in UTC to the millisecond."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def synced_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk, where the system can do that."""
    try:
        descriptor = os.open(folder, os.O_RDONLY)
    except PermissionError:
        return  # systems that do not open folders keep names safe by themselves
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _ends_torn(descriptor: int) -> bool:
    size = os.fstat(descriptor).st_size
    if not size:
        return False
    os.lseek(descriptor, size - 1, os.SEEK_SET)  # what is written goes to the end all the same
    return os.read(descriptor, 1) != b"\n"


def _entry(line: bytes) -> tuple[str, str] | None:
    try:
        found: object = json.loads(line)
        if not isinstance(found, dict):
            return None
        fields = cast("dict[str, object]", found)
        act, object_id, at = fields["act"], fields["id"], fields["at"]
        if act not in ACTS or not isinstance(object_id, str) or not isinstance(at, str):
            return None
        datetime.fromisoformat(at)
    except (ValueError, KeyError):
        return None
    return str(act), object_id
