"""Answers to requests that may be sent again."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import Connection, and_, bindparam, delete, or_, select, update

from service.scenarios.errors import KeyInFlightError
from service.scenarios.records import Replay
from service.store.columns import UtcMs
from service.store.inserts import Insert, by_database
from service.store.shapes import Shape
from service.store.tables import REPLAYS

REPLAY = Shape(REPLAYS, Replay)

_R = REPLAYS.c
_THIS = and_(_R.credential_id == bindparam("credential"), _R.key == bindparam("sent"))
_IN_FLIGHT = _R.status.is_(None)


def _claims() -> Mapping[str, Insert]:
    """Return the statements that claim a key, or take it over, or change no row."""
    ahead = _R.claimed_at > bindparam("ahead", type_=UtcMs())
    gone = and_(_IN_FLIGHT, or_(_R.claimed_at < bindparam("stale"), ahead))
    return {
        kind: insert.on_conflict_do_update(
            index_elements=[_R.credential_id, _R.key],
            set_={column.name: insert.excluded[column.name] for column in REPLAY.columns},
            where=or_(gone, _R.expires_at < insert.excluded.claimed_at),
        )
        for kind, insert in by_database(REPLAYS).items()
    }


_CLAIM = _claims()
_GET = select(*REPLAY.columns).where(_THIS)
_COMPLETE = update(REPLAYS).where(_THIS, _IN_FLIGHT)
_RELEASE = delete(REPLAYS).where(_THIS, _IN_FLIGHT)
_PRUNE = delete(REPLAYS).where(_R.expires_at < bindparam("day"))


class ReplayRows:
    """Answers to requests that may be sent again."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def claim(self, replay: Replay, stale_before: datetime) -> Replay | None:
        claim = _CLAIM[self._connection.dialect.name]
        values = REPLAY.values(replay) | {"stale": stale_before}
        values["ahead"] = replay.claimed_at + (replay.claimed_at - stale_before)
        wanted = {"credential": replay.credential_id, "sent": replay.key}
        while self._connection.execute(claim, values).rowcount == 0:
            kept = REPLAY.of_first(self._connection.execute(_GET, wanted).first())
            if kept is not None:
                return kept
        return None

    def complete(self, replay: Replay) -> None:
        values = {
            "credential": replay.credential_id,
            "sent": replay.key,
            "status": replay.status,
            "headers": replay.headers,
            "body": replay.body,
            "object_id": replay.object_id,
        }
        if self._connection.execute(_COMPLETE, values).rowcount == 0:
            # It took so long that its key was claimed again, and that one was answered first.
            raise KeyInFlightError

    def release(self, credential_id: str, key: str) -> None:
        self._connection.execute(_RELEASE, {"credential": credential_id, "sent": key})

    def prune(self, before: datetime) -> int:
        return self._connection.execute(_PRUNE, {"day": before}).rowcount
