"""Ids: two letters for what it is, then a ULID, so that newer ids sort after older ones."""

from datetime import datetime
from typing import Literal

from ulid import ULID

Prefix = Literal["of", "ky", "ln", "sc", "ct", "nt", "wr", "an", "sw"]
"""Office, key, link, scenario, costing, note, weather record, analysis, sweep."""


def new_id(prefix: Prefix, at: datetime) -> str:
    """Return a new id.

    Parameters
    ----------
    prefix : str
        What it is the id of.
    at : datetime
        When it is made, in UTC.
    """
    return f"{prefix}_{ULID.from_datetime(at)}"
