"""Pages of the list of scenarios; each begins after the last row of the one before.

No page counts or skips rows, so that a deep one takes no longer than the first.
"""

from functools import cache
from typing import Any

from sqlalchemy import Select, bindparam, select, tuple_

from service.scenarios.records import Head
from service.scenarios.repositories import Listing
from service.store.columns import Id, UtcMs
from service.store.shapes import Shape
from service.store.tables import SCENARIOS

HEAD = Shape(SCENARIOS, Head)

_S = SCENARIOS.c


def page(listing: Listing) -> Select[Any]:
    """Return the statement of a page."""
    return _statement(
        binned=listing.binned,
        external=listing.external_id is not None,
        by_change=listing.updated_since is not None,
        further=listing.after_id is not None,
    )


def page_values(office_id: str, listing: Listing) -> dict[str, Any]:
    """Return the values that the statement of a page is executed with."""
    values: dict[str, Any] = {"office": office_id, "most": listing.limit}
    if listing.external_id is not None:
        values["external"] = listing.external_id
    if listing.updated_since is not None:
        values["since"] = listing.after_updated_at or listing.updated_since
        values["after"] = listing.after_id or ""
    elif listing.after_id is not None:
        values["after"] = listing.after_id
    return values


@cache
def _statement(*, binned: bool, external: bool, by_change: bool, further: bool) -> Select[Any]:
    statement = select(*HEAD.columns).where(
        _S.office_id == bindparam("office"),
        _S.binned_at.is_not(None) if binned else _S.binned_at.is_(None),
    )
    if external:
        statement = statement.where(_S.external_id == bindparam("external"))
    if by_change:
        # The types are said: beside a tuple of columns a plain value would be sent as it is, and
        # SQLite would compare the text of a time with milliseconds and find nothing.
        after = tuple_(bindparam("since", type_=UtcMs()), bindparam("after", type_=Id()))
        statement = statement.where(tuple_(_S.updated_at, _S.id) > after)
        statement = statement.order_by(_S.updated_at, _S.id)
    else:
        if further:
            statement = statement.where(_S.id < bindparam("after"))
        statement = statement.order_by(_S.id.desc())
    return statement.limit(bindparam("most"))
