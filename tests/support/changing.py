"""Changes one scenario again and again, as a client does that reads it first and retries.

``python -m tests.support.changing sqlite FILE NAME THREADS CHANGES`` does so in a process of its
own, and ``... postgresql ADDRESS ...`` likewise.
"""

import json
import sys
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import replace
from pathlib import Path
from typing import Any

from service.scenarios.repositories import Store
from service.store.database import Database
from tests.support.offices import advanced, head, office, revision

TIME = 60
"""How long the threads may take [s]."""


def count_up(store: Store, name: str, changes: int) -> None:
    """Add one to the count in the document of scenario 1, so many times."""
    for number in range(changes):
        until_done(lambda number=number: _counted(store, f"{name} {number}"))


def until_done(act: Callable[[], bool]) -> None:
    """Try until it works."""
    end = time.monotonic() + TIME
    while not act():
        assert time.monotonic() < end, "tried in vain"


def _counted(store: Store, remark: str) -> bool:
    with store.reading() as session:
        stands = session.scenarios.head(office().id, head().id)
        assert stands is not None
        read = session.scenarios.revision(stands.id, stands.revision)
        assert read is not None
    document = json.dumps({"count": json.loads(read.document).get("count", 0) + 1})
    changed = advanced(stands)
    with store.writing() as session:
        return session.scenarios.advance(
            changed, replace(revision(changed, document=document), remark=remark)
        )


def in_threads(store: Store, name: str, threads: int, changes: int) -> None:
    """Count up in several threads at once."""
    together([lambda one=one: count_up(store, f"{name}.{one}", changes) for one in range(threads)])


def together(acts: list[Any]) -> list[Any]:
    """Do acts at the same time, each in a thread, and return what they return."""
    pool = ThreadPoolExecutor(len(acts))
    futures: list[Future[Any]] = [pool.submit(act) for act in acts]
    done, late = wait(futures, TIME)
    pool.shutdown(wait=False, cancel_futures=True)
    assert not late, f"{len(late)} of {len(futures)} threads did not end, {len(done)} did"
    return [future.result() for future in futures]


def opened_again(kind: str, place: str, threads: int) -> Database:
    """Open a database that is there, as another program does."""
    if kind == "sqlite":
        return Database.sqlite(Path(place), threads)
    return Database.postgres(place, threads)


if __name__ == "__main__":
    kind, place, name, threads, changes = sys.argv[1:]
    database = opened_again(kind, place, int(threads))
    in_threads(database, name, int(threads), int(changes))
    database.close()
