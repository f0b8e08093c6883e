"""Winters as they were."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Sequence

from sqlalchemy import Connection, bindparam, func, select, update

from service.scenarios.records import PastWinter
from service.store.inserts import unless_there
from service.store.past_winter_tables import PAST_WINTERS
from service.store.shapes import Shape
from service.store.tables import SCENARIOS

PAST_WINTER = Shape(PAST_WINTERS, PastWinter)
CHANGED = (
    "version",
    "planned_revision",
    "system",
    "facts",
    "author_id",
    "author_label",
    "updated_at",
)

_W = PAST_WINTERS.c
_OF_SCENARIO = _W.scenario_id == bindparam("scenario")
_THIS = _W.season == bindparam("winter")

_GET = select(*PAST_WINTER.columns).where(_OF_SCENARIO, _THIS)
_EVERY = select(*PAST_WINTER.columns).where(_OF_SCENARIO).order_by(_W.season)
_COUNT = select(func.count()).select_from(PAST_WINTERS).where(_OF_SCENARIO)
_ADD = unless_there(_W.scenario_id, _W.season)
_CHANGE = update(PAST_WINTERS).where(_OF_SCENARIO, _THIS, _W.version == bindparam("before"))

# Whoever counts in order to add waits for the one before, so that the count still holds when he
# does. SQLite lets one write at a time anyway.
_LOCK_SCENARIO = (
    select(SCENARIOS.c.id)
    .where(SCENARIOS.c.id == bindparam("scenario"))
    .with_for_update(key_share=True)
)


class PastWinterRows:
    """Winters as they were."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def get(self, scenario_id: str, season: str) -> PastWinter | None:
        wanted = {"scenario": scenario_id, "winter": season}
        return PAST_WINTER.of_first(self._connection.execute(_GET, wanted).first())

    def every(self, scenario_id: str) -> Sequence[PastWinter]:
        rows = self._connection.execute(_EVERY, {"scenario": scenario_id})
        return [PAST_WINTER.of(row) for row in rows]

    def count(self, scenario_id: str) -> int:
        this = {"scenario": scenario_id}
        self._connection.execute(_LOCK_SCENARIO, this).close()
        return self._connection.execute(_COUNT, this).scalar_one()

    def add(self, winter: PastWinter) -> bool:
        add = _ADD[self._connection.dialect.name]
        return self._connection.execute(add, PAST_WINTER.values(winter)).rowcount == 1

    def change(self, winter: PastWinter) -> bool:
        wanted = {
            "scenario": winter.scenario_id,
            "winter": winter.season,
            "before": winter.version - 1,
        }
        changes = {name: getattr(winter, name) for name in CHANGED}
        return self._connection.execute(_CHANGE, wanted | changes).rowcount == 1
