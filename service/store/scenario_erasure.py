"""Erasure of a scenario with all that hangs on it."""

from sqlalchemy import BindParameter, Connection, bindparam, delete, or_, select, update

from service.scenarios.records import Counts
from service.store.columns import Id
from service.store.job_tables import IS_SWEEP, JOBS
from service.store.past_winter_tables import PAST_WINTERS
from service.store.tables import COSTINGS, CREDENTIALS, NOTES, REPLAYS, REVISIONS, SCENARIOS

_ID: BindParameter[str] = bindparam("erased", type_=Id())
_LINKS = select(CREDENTIALS.c.id).where(CREDENTIALS.c.scenario_id == _ID)
_REMARKS = select(NOTES.c.id).where(NOTES.c.scenario_id == _ID)
_JOBS = select(JOBS.c.id).where(JOBS.c.scenario_id == _ID)

# Whoever is adding a note, a winter, a costing, a link, a job or a revision at this moment is
# waited for, and whoever comes later finds nothing: otherwise a stored answer with their text would
# stay behind.
_LOCK_SCENARIO = select(SCENARIOS.c.id).where(SCENARIOS.c.id == _ID).with_for_update()
_LOCK_REVISIONS = select(REVISIONS.c.number).where(REVISIONS.c.scenario_id == _ID).with_for_update()

_FREE_COPIES = (
    update(SCENARIOS)
    .where(SCENARIOS.c.origin_id == _ID)
    .values(origin_id=None, origin_revision=None)
)
_DELETE_REPLAYS = delete(REPLAYS).where(
    or_(
        REPLAYS.c.object_id == _ID,
        REPLAYS.c.object_id.in_(_REMARKS),
        REPLAYS.c.object_id.in_(_LINKS),
        REPLAYS.c.object_id.in_(_JOBS),
        REPLAYS.c.credential_id.in_(_LINKS),
    )
)
_DELETE_COSTINGS = delete(COSTINGS).where(COSTINGS.c.scenario_id == _ID)
_DELETE_NOTES = delete(NOTES).where(NOTES.c.scenario_id == _ID)
_DELETE_WINTERS = delete(PAST_WINTERS).where(PAST_WINTERS.c.scenario_id == _ID)
_DELETE_LINKS = delete(CREDENTIALS).where(CREDENTIALS.c.scenario_id == _ID)
_DELETE_ANALYSES = delete(JOBS).where(JOBS.c.scenario_id == _ID, ~IS_SWEEP)
_DELETE_SWEEPS = delete(JOBS).where(JOBS.c.scenario_id == _ID, IS_SWEEP)
_DELETE_REVISIONS = delete(REVISIONS).where(REVISIONS.c.scenario_id == _ID)
_DELETE_SCENARIO = delete(SCENARIOS).where(SCENARIOS.c.id == _ID)


def erased(connection: Connection, scenario_id: str) -> Counts:
    """Delete a scenario and return how much went with it; its copies stay and forget it."""
    this = {"erased": scenario_id}
    connection.execute(_LOCK_SCENARIO, this).close()
    connection.execute(_LOCK_REVISIONS, this).close()
    connection.execute(_FREE_COPIES, this)
    counts = Counts(
        replays=connection.execute(_DELETE_REPLAYS, this).rowcount,
        costings=connection.execute(_DELETE_COSTINGS, this).rowcount,
        notes=connection.execute(_DELETE_NOTES, this).rowcount,
        winters=connection.execute(_DELETE_WINTERS, this).rowcount,
        links=connection.execute(_DELETE_LINKS, this).rowcount,
        analyses=connection.execute(_DELETE_ANALYSES, this).rowcount,
        sweeps=connection.execute(_DELETE_SWEEPS, this).rowcount,
        revisions=connection.execute(_DELETE_REVISIONS, this).rowcount,
    )
    connection.execute(_DELETE_SCENARIO, this)
    return counts
