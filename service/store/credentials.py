"""Keys and links."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import (
    Connection,
    Select,
    Update,
    and_,
    bindparam,
    func,
    insert,
    or_,
    select,
    update,
)

from service.scenarios.records import Credential
from service.store.shapes import Shape
from service.store.tables import CREDENTIALS, OFFICES, SCENARIOS

CREDENTIAL = Shape(CREDENTIALS, Credential)

_C = CREDENTIALS.c
_LIVE = and_(_C.revoked_at.is_(None), _C.expires_at > bindparam("now"))
_EVERY = select(*CREDENTIAL.columns)
_THIS = _C.id == bindparam("credential_id")

_ADD = insert(CREDENTIALS)
_BY_DIGEST = _EVERY.where(_C.digest.in_(bindparam("digests", expanding=True)))
_FIND = _EVERY.where(_THIS)
_GET = _FIND.where(_C.office_id == bindparam("office"))
_PAGE = _EVERY.where(_C.id > bindparam("after")).order_by(_C.id).limit(bindparam("most"))
_KEYS = _PAGE.where(_C.office_id == bindparam("office"), _C.scenario_id.is_(None))
_LINKS = _PAGE.where(_C.scenario_id == bindparam("scenario"))

_LIVE_LINKS = select(func.count()).where(_C.scenario_id == bindparam("scenario"), _LIVE)
_LIVE_ADMIN_KEYS = select(func.count()).where(
    _C.office_id == bindparam("office"),
    _C.scenario_id.is_(None),
    _C.access == "admin",
    _LIVE,
)
_ANY_LIVE_KEY = select(_C.id).where(_C.scenario_id.is_(None), _LIVE).limit(1)

# Whoever counts in order to add or to revoke waits for the one before, so that the count still
# holds when he does. SQLite lets one write at a time anyway.
_LOCK_SCENARIO = (
    select(SCENARIOS.c.id)
    .where(SCENARIOS.c.id == bindparam("scenario"))
    .with_for_update(key_share=True)
)
_LOCK_OFFICE = (
    select(OFFICES.c.id).where(OFFICES.c.id == bindparam("office")).with_for_update(key_share=True)
)

_CHANGE = update(CREDENTIALS).where(_THIS)
_REVOKE = _CHANGE.where(_C.revoked_at.is_(None))
_MARK_USED = _CHANGE.where(or_(_C.last_used_on.is_(None), _C.last_used_on < bindparam("day")))


class CredentialRows:
    """Keys and links."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, credential: Credential) -> None:
        self._connection.execute(_ADD, CREDENTIAL.values(credential))

    def by_digest(self, digests: Iterable[bytes]) -> Credential | None:
        return self._first(_BY_DIGEST, {"digests": list(digests)})

    def get(self, office_id: str, credential_id: str) -> Credential | None:
        return self._first(_GET, {"office": office_id, "credential_id": credential_id})

    def find(self, credential_id: str) -> Credential | None:
        return self._first(_FIND, {"credential_id": credential_id})

    def keys(self, office_id: str, after_id: str | None, limit: int) -> Sequence[Credential]:
        return self._page(_KEYS, {"office": office_id}, after_id, limit)

    def links(self, scenario_id: str, after_id: str | None, limit: int) -> Sequence[Credential]:
        return self._page(_LINKS, {"scenario": scenario_id}, after_id, limit)

    def live_links(self, scenario_id: str, now: datetime) -> int:
        self._connection.execute(_LOCK_SCENARIO, {"scenario": scenario_id}).close()
        return self._count(_LIVE_LINKS, {"scenario": scenario_id, "now": now})

    def live_admin_keys(self, office_id: str, now: datetime) -> int:
        self._connection.execute(_LOCK_OFFICE, {"office": office_id}).close()
        return self._count(_LIVE_ADMIN_KEYS, {"office": office_id, "now": now})

    def any_live_key(self, now: datetime) -> bool:
        return self._connection.execute(_ANY_LIVE_KEY, {"now": now}).first() is not None

    def revoke(self, credential_id: str, at: datetime) -> bool:
        return self._change(_REVOKE, credential_id, revoked_at=at)

    def mark_used(self, credential_id: str, on: date) -> bool:
        return self._change(_MARK_USED, credential_id, day=on, last_used_on=on)

    def mark_seen_in_url(self, credential_id: str, at: datetime) -> None:
        self._change(_CHANGE, credential_id, seen_in_url_at=at)

    def rehash(self, credential_id: str, digest: bytes, pepper: int) -> None:
        self._change(_CHANGE, credential_id, digest=digest, pepper=pepper)

    def _first(self, statement: Select[Any], wanted: dict[str, Any]) -> Credential | None:
        return CREDENTIAL.of_first(self._connection.execute(statement, wanted).first())

    def _page(
        self, statement: Select[Any], wanted: dict[str, Any], after_id: str | None, limit: int
    ) -> Sequence[Credential]:
        wanted |= {"after": after_id or "", "most": limit}
        return [CREDENTIAL.of(row) for row in self._connection.execute(statement, wanted)]

    def _count(self, statement: Select[int], wanted: dict[str, Any]) -> int:
        return self._connection.execute(statement, wanted).scalar_one()

    def _change(self, statement: Update, credential_id: str, **changes: object) -> bool:
        changes["credential_id"] = credential_id
        return self._connection.execute(statement, changes).rowcount == 1
