"""Faults of single inputs, with the range and unit that their declaration has."""

from functools import cache
from typing import get_args, get_type_hints

from service.costing.entry import Entry, published_name
from service.costing.errors import Fault


@cache
def entry_of(owner: type, name: str) -> Entry:
    """Return how a field of a part of the document is declared."""
    hint = get_type_hints(owner, include_extras=True)[name]
    notes = [note for part in (hint, *get_args(hint)) for note in getattr(part, "__metadata__", ())]
    return next((note for note in notes if isinstance(note, Entry)), Entry(name))


def fault_of(
    owner: object,
    path: str,
    name: str,
    detail: str,
    *,
    allowed: str | None = None,
) -> Fault:
    """Return the fault of one field.

    Parameters
    ----------
    owner : object
        The part of the document that has the field.
    path : str
        Input path of that part.
    name : str
        Name of the field.
    detail : str
        What is wrong, and what to change.
    allowed : str, optional
        What is allowed here; if not given, the range that is declared.
    """
    entry = entry_of(type(owner), name)
    return Fault(
        f"{path}.{published_name(name)}",
        detail,
        received=getattr(owner, name),
        allowed=allowed or entry.allowed or None,
        unit=entry.unit or None,
    )
