"""Winters as they were: what is known of a winter after it, recorded beside the plan it had.

A winter has a name, as 2026-27, and one record that is changed in its place, version by version. A
copy of a scenario takes none of them along: they are of the farm as it was, not of what if.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Literal, TypeAlias

from service.costing.errors import InputError
from service.scenarios.access import found
from service.scenarios.audit import entry
from service.scenarios.canonical import text_of
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import (
    StaleWinterError,
    TooManyWintersError,
    UnknownPartError,
    UnreadWinterError,
)
from service.scenarios.past_winter_drafts import (
    Draft,
    SeasonError,
    drafted,
    facts_as_sent,
    recorded_document,
)
from service.scenarios.places import values
from service.scenarios.plain_text import storable
from service.scenarios.records import PastWinter
from service.scenarios.replays import Then
from service.scenarios.repositories import Session

__all__ = [
    "SeasonError",
    "facts_as_sent",
    "record_winter",
    "standing_version",
    "winter",
    "winters",
]

MOST_WINTERS = 200
MOST_DIFFERING = 50
NONE_OF_THAT_SEASON = "The scenario has no winter of that season recorded."

Expected: TypeAlias = int | Literal["new"] | None
"""The version that the caller has read; that there is none; or nothing, which is enough for a
winter that is not recorded yet."""


def record_winter(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    season: str,
    facts_document: Any,  # noqa: ANN401 - as sent
    expected: Expected,
    then: Then[PastWinter] = None,
) -> PastWinter:
    """Record a winter as it was, or put other facts in the place of those that stand.

    Facts that say what stands change nothing, whatever version the caller has read: they are the
    repeat of a record that was made.

    Parameters
    ----------
    desk, caller
        Where and who; needs the right to change the scenario.
    scenario_id : str
        Of which scenario.
    season : str
        Name of the winter, as 2026-27.
    facts_document : dict
        Any of the facts. Without a system it is the one that stands, else the best of the plan;
        without a planned revision the one that stands, else the newest.
    expected : int, "new" or None
        What the caller knows of the record.
    then : callable, optional
        Called before the commit.

    Raises
    ------
    InputError
        If the facts cannot be so; carries every fault.
    SeasonError
        If the plan is for no winter of that name.
    StaleWinterError
        If another version stands than the caller has read; it says which facts differ.
    UnreadWinterError
        If the winter is recorded, and the caller has read none of it.
    TooManyWintersError
        If the scenario has as many winters as it can have.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "change")
        stands = _get(session, scenario_id, season)
    try:
        draft = drafted(desk, caller, head, season, facts_document, stands)
    except InputError:
        _refuse_unread(season, stands, expected, None)
        raise
    if not _repeats(draft, stands, expected):
        _refuse_unread(season, stands, expected, draft)
        made = _written(desk, caller, scenario_id, season, draft, stands, then)
        if made is not None:
            return made
        with desk.store.reading() as session:
            found(session, caller, scenario_id, "change")
            stands = _get(session, scenario_id, season)
    if stands is None or not _repeats(draft, stands, expected):
        _refuse_unread(season, stands, expected, draft)
        raise StaleWinterError(season, stands and stands.version)
    if then is not None:
        with desk.store.writing() as session:
            then(session, stands)
    return stands


def winter(session: Session, caller: Caller, scenario_id: str, season: str) -> PastWinter:
    """Return a winter as it was recorded.

    Raises
    ------
    UnknownPartError
        If the scenario has none of that season.
    """
    head = found(session, caller, scenario_id)
    kept = _get(session, head.id, season)
    if kept is None:
        raise UnknownPartError(NONE_OF_THAT_SEASON)
    return kept


def winters(session: Session, caller: Caller, scenario_id: str) -> Sequence[PastWinter]:
    """Return all recorded winters of a scenario, the oldest season first."""
    head = found(session, caller, scenario_id)
    return session.past_winters.every(head.id)


def standing_version(desk: Desk, caller: Caller, scenario_id: str, season: str) -> int | None:
    """Return the version that stands of a winter that the caller may change; None without one."""
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "change")
        stands = _get(session, head.id, season)
    return stands and stands.version


def _get(session: Session, scenario_id: str, season: str) -> PastWinter | None:
    return session.past_winters.get(scenario_id, season) if storable(season) else None


def _repeats(draft: Draft, stands: PastWinter | None, expected: Expected) -> bool:
    """Whether facts say what stands; not if there was to be nothing (RFC 9110, 13.1.2)."""
    return stands is not None and expected != "new" and draft.says_what(stands)


def _refuse_unread(
    season: str, stands: PastWinter | None, expected: Expected, draft: Draft | None
) -> None:
    """Refuse to write over what the caller has not read."""
    current = stands.version if stands is not None else None
    if expected == (current if current is not None else "new") or expected is current is None:
        return
    if expected is None and current is not None:
        raise UnreadWinterError(season, current)
    if stands is None or draft is None:
        raise StaleWinterError(season, current)
    before, after = values(recorded_document(stands)), values(draft.document)
    differing = [
        (path, before.get(path), after.get(path))
        for path in {**after, **before}
        if before.get(path) != after.get(path)
    ]
    raise StaleWinterError(season, current, differing[:MOST_DIFFERING])


def _written(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    season: str,
    draft: Draft,
    stands: PastWinter | None,
    then: Then[PastWinter],
) -> PastWinter | None:
    """Write a version after the one that stood; None if that does not stand any more."""
    now = desk.now()
    made = PastWinter(
        scenario_id=scenario_id,
        season=season,
        version=1 if stands is None else stands.version + 1,
        planned_revision=draft.planned_revision,
        system=draft.system,
        facts=text_of(draft.facts),
        author_id=caller.credential_id,
        author_label=caller.label,
        created_at=now,
        updated_at=now,
    )
    with desk.store.writing() as session:
        found(session, caller, scenario_id, "change")
        if stands is None:
            if session.past_winters.count(scenario_id) >= MOST_WINTERS:
                message = f"A scenario has at most {MOST_WINTERS} winters."
                raise TooManyWintersError(message)
            action, done = "winter.record", session.past_winters.add(made)
        else:
            made = replace(made, created_at=stands.created_at)
            action, done = "winter.change", session.past_winters.change(made)
        if not done:
            return None
        session.audit.add(entry(desk, caller, action, scenario_id, draft.planned_revision))
        if then is not None:
            then(session, made)
    return made
