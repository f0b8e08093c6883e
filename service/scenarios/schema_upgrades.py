"""Documents of an older schema, brought to the one that is read today.

A revision is kept as it was written, with the number of its schema; it is upgraded each time it is
read. A change of the schema that older documents do not fit adds one step here.
"""

from collections.abc import Callable, Mapping
from typing import Any

Document = dict[str, Any]
Upgrade = Callable[[Document], Document]

UPGRADES: Mapping[int, Upgrade] = {}
"""By the number of the schema that a step starts from. No schema has been left behind so far."""

FIRST_SCHEMA = 1


def newest_schema(upgrades: Mapping[int, Upgrade] = UPGRADES) -> int:
    """Return the number of the schema that is read today."""
    return max(upgrades, default=FIRST_SCHEMA - 1) + 1


def upgraded(
    document: Document, schema: int, upgrades: Mapping[int, Upgrade] = UPGRADES
) -> Document:
    """Return a document as the newest schema has it.

    Parameters
    ----------
    document : dict
        As it was kept; it is not changed.
    schema : int
        Number of the schema that it was written in.
    upgrades : mapping of int to callable
        One step for each schema that was left behind.
    """
    for step in range(schema, newest_schema(upgrades)):
        document = upgrades[step](document)
    return document
