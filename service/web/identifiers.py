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
TABLE_SUFFIXES = (".csv", ".xlsx")
MOST_REVISIONS = 2_147_483_647


def possible(text: str) -> str:
    """Return an id as it stands in an address, without a suffix that names the form."""
    bare = text.removesuffix(JSON_SUFFIX)
    return bare if POSSIBLE.fullmatch(bare) else NEVER_FOUND


def possible_costing(text: str) -> str:
    """Return the same of what comes as a table and as a workbook too."""
    for suffix in TABLE_SUFFIXES:
        if text.endswith(suffix):
            bare = text.removesuffix(suffix)
            return bare if POSSIBLE.fullmatch(bare) else NEVER_FOUND
    return possible(text)


ScenarioId = Annotated[
    str,
    Path(title="Scenario", description="Id of a stored scenario."),
    AfterValidator(possible),
]
ScenarioSheetId = Annotated[
    str,
    Path(title="Scenario", description="Id of a stored scenario."),
    AfterValidator(possible_costing),
]
"""Of a scenario that is answered as an answer sheet too."""

CostingId = Annotated[
    str,
    Path(title="Costing", description="Id of a stored costing."),
    AfterValidator(possible_costing),
]
RevisionNumber = Annotated[
    int,
    Path(ge=1, le=MOST_REVISIONS, title="Revision", description="Number of a revision, from 1."),
]
