"""A kept scenario opened for one of its systems and one winter: what a plan is made from."""

from dataclasses import dataclass

from service.costing.engine import cost
from service.costing.errors import Fault, InputError, nearest
from service.scenarios.access import found
from service.scenarios.costings import EDITION, body_of, costing_now
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.kept import Kept, kept_at
from service.scenarios.records import StoredCosting
from service.scenarios.winters import recorded
from service.season.dates import Season, coming_season, season_called
from service.season.subject import SeasonSubject

BEST, BASELINE = "best", "baseline"


@dataclass(frozen=True)
class Chosen:
    """A system of a revision, costed, for one winter."""

    subject: SeasonSubject
    kept: Kept
    stored: StoredCosting


def chosen(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    *,
    revision: int | None = None,
    system: str | None = None,
    season: str | None = None,
    keep: bool = True,
) -> Chosen:
    """Return a system of a kept scenario, costed, for one winter.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        Which scenario.
    revision : int, optional
        The newest, if not given.
    system : str, optional
        A key, ``best`` or ``baseline``; the best, if not given.
    season : str, optional
        As 2026-27; the winter that runs today or comes next, if not given.
    keep : bool
        Whether the costing is stored if it is not yet.

    Raises
    ------
    UnknownScenarioError, BinnedError, UnknownPartError
        If there is no such revision that the caller may see.
    InputError
        If there is no such system or winter, or the revision cannot be costed.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id)
        kept = kept_at(session, desk, head, head.revision if revision is None else revision)
    stored = costing_now(desk, caller, scenario_id, kept.revision.number, keep=keep)
    body = body_of(stored)
    winter = body["inputs_used"]["winter"]
    subject = SeasonSubject(
        costing=cost(desk.read(with_winters(desk, kept))),
        body=body,
        key=system_named(body, system),
        season=season_named(desk, winter, season),
    )
    return Chosen(subject, kept, stored)


def with_winters(desk: Desk, kept: Kept) -> Document:
    """Return the document of a revision as it is costed: its edition and its winters named."""
    given = kept.document | {EDITION: kept.revision.reference_edition}
    return recorded(desk, kept.head.office_id, given).document


def season_named(desk: Desk, winter: Document, name: str | None) -> Season:
    """Return the winter of a name, or the one that runs today or comes next."""
    first, last = winter["first_day"], winter["last_day"]
    if name is None:
        return coming_season(first, last, desk.now().date())
    return season_called(name, first, last)


def system_named(body: Document, wanted: str | None) -> str:
    """Return the key of a system of a costing.

    Raises
    ------
    InputError
        If it has none of that name; names the nearest.
    """
    if wanted is None or wanted == BEST:
        return body["best_system"]
    key = body["comparison"]["baseline"] if wanted == BASELINE else wanted
    known = [item["system"] for item in body["systems"]]
    if key in known:
        return key
    near = nearest(key, (*known, BEST, BASELINE))
    hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
    raise InputError(
        [Fault("system", f"There is no system {key!r}; {hint}", received=key, suggestion=near)]
    )
