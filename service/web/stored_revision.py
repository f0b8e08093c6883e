"""A revision read in a session of its own, for what is worked on outside of it."""

from service.scenarios import history, keeping
from service.scenarios.desk import Caller, Desk
from service.scenarios.kept import Kept


def revision_of(desk: Desk, caller: Caller, scenario_id: str, number: int | None = None) -> Kept:
    """Return a scenario at a revision, the newest if none is named."""
    with desk.store.reading() as session:
        if number is None:
            return keeping.current(session, desk, caller, scenario_id)
        return history.revision(session, desk, caller, scenario_id, number)
