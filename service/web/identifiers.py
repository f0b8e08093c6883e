"""Ids and numbers in addresses: what could not be one is made what is never found.

The answer to an id of no form at all is then that to one of an unknown scenario, and no database
is handed what it cannot compare.
"""

import re
from typing import Annotated

from fastapi import Path
from pydantic import AfterValidator

POSSIBLE = re.compile(r"[a-z]{2}_[0-9A-Za-z]{1,40}")
NEVER_FOUND = "-"
JSON_SUFFIX = ".json"
MOST_REVISIONS = 2_147_483_647


def possible(text: str) -> str:
    """Return an id as it stands in an address, without a suffix that names the form."""
    bare = text.removesuffix(JSON_SUFFIX)
    return bare if POSSIBLE.fullmatch(bare) else NEVER_FOUND


ScenarioId = Annotated[
    str,
    Path(title="Scenario", description="Id of a stored scenario."),
    AfterValidator(possible),
]
CostingId = Annotated[
    str,
    Path(title="Costing", description="Id of a stored costing."),
    AfterValidator(possible),
]
RevisionNumber = Annotated[
    int,
    Path(ge=1, le=MOST_REVISIONS, title="Revision", description="Number of a revision, from 1."),
]
