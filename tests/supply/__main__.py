"""Write the constraints file and the table of licences anew from this environment.

``python -m tests.supply``, in an environment of every extra in which the tests have passed.
"""

from datetime import UTC, datetime

from tests.supply.distributions import CONSTRAINTS, constraints_text, in_use
from tests.supply.licences import DEVELOPERS, table, with_table

if __name__ == "__main__":
    used = in_use()
    listing = with_table(DEVELOPERS.read_text(), table(used))
    CONSTRAINTS.write_text(constraints_text(used, datetime.now(UTC).date()))
    DEVELOPERS.write_text(listing)
    print(f"{len(used)} libraries: {CONSTRAINTS.name}, {DEVELOPERS.name}")  # noqa: T201 - a command
