"""Upgrades a PostgreSQL database in several processes at the same moment.

``python -m tests.support.migrating ADDRESS NUMBER`` ends with the number of those that failed. It
is a process of its own so that it can split before there are threads.
"""

import multiprocessing
import sys
from multiprocessing.synchronize import Barrier

from service.store.database import Database
from tests.support.databases import migrate

TIME = 60
"""How long one may take [s]."""


def upgrade(address: str, gate: Barrier) -> None:
    """Upgrade once all are there."""
    database = Database.postgres(address, threads=1)
    gate.wait(TIME)
    migrate(database)
    database.close()


def failures(address: str, number: int) -> int:
    """Return how many of so many upgrades failed."""
    context = multiprocessing.get_context("fork")
    gate = context.Barrier(number)
    upgrades = [context.Process(target=upgrade, args=(address, gate)) for _ in range(number)]
    for one in upgrades:
        one.start()
    for one in upgrades:
        one.join(TIME)
    return sum(one.exitcode != 0 for one in upgrades)


if __name__ == "__main__":
    sys.exit(failures(sys.argv[1], int(sys.argv[2])))
