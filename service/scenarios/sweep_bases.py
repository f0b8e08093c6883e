"""The base of a sweep: the document that its farms differ from, ready to be sent to workers."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace

from service.costing.errors import Fault, InputError
from service.costing.scenario import Scenario
from service.scenarios.access import found
from service.scenarios.costings import EDITION
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.kept import kept_at
from service.scenarios.winters import CLASSIFIER, RECORD, recorded

BASE = "document."
"""Stands before the input of a fault that the base has, so that it is told from a farm's."""

OF_ALL = frozenset({f"winter.{RECORD}", f"winter.{CLASSIFIER}", EDITION})
"""Looked up once for all farms, before any is costed."""


@dataclass(frozen=True, slots=True)
class Base:
    """A document with its edition named and the winters of its weather record in their place."""

    document: Document
    edition: str
    scenario_id: str | None = None
    revision: int | None = None


def base_of(
    desk: Desk, caller: Caller, scenario_id: str | None, document: Document
) -> tuple[Base, list[Fault]]:
    """Return the base of a sweep, and what is wrong with its winters.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str or None
        The stored scenario, at its newest revision; the document counts without one.
    document : dict
        What came with the request.

    Raises
    ------
    UnknownScenarioError, BinnedError
        If there is no such scenario that the caller may see.
    """
    if scenario_id is None:
        edition = document.get(EDITION)
        named = edition if isinstance(edition, str) else desk.newest_edition()
        base = Base({EDITION: named, **document} if edition is None else document, named)
    else:
        with desk.store.reading() as session:
            head = found(session, caller, scenario_id, "write")
            kept = kept_at(session, desk, head, head.revision)
        named = kept.revision.reference_edition
        whole = kept.document | {EDITION: named}
        base = Base(whole, named, head.id, head.revision)
    try:
        return replace(base, document=recorded(desk, caller.office_id, base.document).document), []
    except InputError as error:
        return base, [_of_base(fault) for fault in error.faults]


def faults_of_base(
    read: Callable[[Document], Scenario], base: Base, covered: Collection[str]
) -> list[Fault]:
    """Return what is wrong with a base that no farm mends.

    Parameters
    ----------
    read : callable
        Turns a document into a scenario or raises InputError with every fault.
    base : Base
        The base.
    covered : collection of str
        Inputs that every farm or setting gives anew.
    """
    try:
        read(base.document)
    except InputError as error:
        return [_of_base(fault) for fault in error.faults if fault.input not in covered]
    return []


def faults_of_fixed(paths: Collection[str], varied: Collection[str]) -> Iterator[Fault]:
    """Yield the faults of paths that farms cannot change."""
    for path in sorted(OF_ALL.intersection(paths)):
        place = f"vary.{path}" if path in varied else path
        yield Fault(place, f"{path} is the same for all farms of a sweep; set it in the base.")


def _of_base(fault: Fault) -> Fault:
    return replace(fault, input=f"{BASE}{fault.input}")
