"""A disk that is soon full: a file system in memory, of a few MiB, mounted for a test."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

REQUIRE = "WINTERGROUND_REQUIRE_TMPFS"
NOT_MOUNTED = (
    "a file system in memory cannot be mounted (Linux, and rights to mount, are needed); with "
    f"{REQUIRE}=1 that is a failure"
)
BLOCK = 4096


class SmallDisk:
    """The disk, and a file that takes what room is left."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._filling = folder / "filling"

    def fill(self) -> None:
        """Leave no room."""
        with self._filling.open("ab", buffering=0) as file:
            for size in (64 * BLOCK, BLOCK, 1):
                try:
                    while file.write(bytes(size)):
                        pass
                except OSError:
                    continue

    def leave(self, room: int) -> None:
        """Leave so many bytes of room, in whole blocks."""
        self.fill()
        with self._filling.open("rb+") as file:
            file.truncate(max(0, self._filling.stat().st_size - room))

    def clear(self) -> None:
        """Make room again."""
        self._filling.unlink(missing_ok=True)

    def free(self) -> int:
        """Return how many bytes are free."""
        found = os.statvfs(self.folder)
        return found.f_bavail * found.f_frsize


@contextmanager
def small_disk(folder: Path, mebibytes: int) -> Iterator[SmallDisk]:
    """Mount a disk at a folder that is there; where that may not be the test is skipped or fails.

    Parameters
    ----------
    folder : Path
        Where.
    mebibytes : int
        Its size [MiB].
    """
    mount, unmount = shutil.which("mount"), shutil.which("umount")
    if sys.platform != "linux" or mount is None or unmount is None:
        _cannot("no such command")
    options = f"size={mebibytes}m,mode=700"
    done = subprocess.run(  # noqa: S603 - a folder of the test's own
        [mount, "-t", "tmpfs", "-o", options, "tmpfs", str(folder)],
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        _cannot(done.stderr.strip())
    try:
        yield SmallDisk(folder)
    finally:
        subprocess.run([unmount, "--lazy", str(folder)], check=True)  # noqa: S603 - the same


def _cannot(why: str) -> None:
    message = f"{NOT_MOUNTED} ({why})"
    if os.environ.get(REQUIRE) == "1":
        pytest.fail(message)
    pytest.skip(message)
