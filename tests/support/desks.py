"""A desk at which two offices have their keys, and what tests ask of it again and again."""

from typing import Any

from service.scenarios.desk import Caller, Desk
from service.scenarios.keeping import Kept, create, current
from service.scenarios.sharing import make_link
from tests.support.offices import caller, credential, desk, keep, numbered, office, small_document

KEYS = [
    credential(1),
    credential(2, access="write"),
    credential(3, access="read"),
    credential(9, office_id=numbered("of", 2)),
]
ADMIN, WRITER, READER, STRANGER = (caller(key) for key in KEYS)
"""Keys of office 1 by what they may do, and the admin key of office 2."""


def opened_desk(**more: Any) -> Any:
    """Return a desk with both offices and their keys; its clock can be moved: ``desk.now``."""
    opened = desk(**more)
    with opened.store.writing() as session:
        keep(session, office(1), office(2), *KEYS)
    return opened


def kept(at: Desk, who: Caller = WRITER, **changes: Any) -> Kept:
    """Keep a small scenario."""
    return create(at, who, small_document(**changes))


def now_of(at: Desk, scenario_id: str, who: Caller = WRITER) -> Kept:
    """Return a scenario as it stands."""
    with at.store.reading() as session:
        return current(session, at, who, scenario_id)


def holder(at: Desk, scenario_id: str, access: str, days: int = 90) -> Caller:
    """Return whoever holds a new link to a scenario."""
    link, _ = make_link(at, WRITER, scenario_id, access, f"{access} link", days)
    return caller(link)


def done(at: Desk, office_number: int = 1) -> list[tuple[str, str, int | None]]:
    """Return the audit of an office, oldest first: action, object and revision."""
    with at.store.reading() as session:
        page = session.audit.page(numbered("of", office_number), None, None, 1_000)
    return [(entry.action, entry.object_id, entry.revision) for entry in reversed(page)]
