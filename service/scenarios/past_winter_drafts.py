"""Facts of a winter on their way to be kept: read, checked, and held against a plan."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from service.costing.errors import Fault, InputError
from service.costing.json_shapes import is_object
from service.costing.scenario import Scenario
from service.scenarios.canonical import plain
from service.scenarios.chosen import with_winters
from service.scenarios.costings import body_of, costing_now
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.errors import FaultyFactsError
from service.scenarios.kept import kept_at
from service.scenarios.plain_text import text_fault
from service.scenarios.records import Head, PastWinter
from service.season.dates import season_called
from service.season.fact_amounts import most_bales
from service.season.fact_checks import days_of, fact_faults
from service.season.facts import WinterFacts

LONGEST_TEXT = 2_000
TEXTS = {"worst_weeks": "What is said of the worst weeks", "remark": "The remark"}
BESIDE = ("system", "planned_revision")
"""Facts that are kept beside the others, filled in where they were not sent."""


class SeasonError(InputError):
    """The name is not one of a winter that the plan is for."""


@dataclass(frozen=True, slots=True)
class Draft:
    """Facts on their way to be kept."""

    system: str
    planned_revision: int
    facts: Document

    def says_what(self, winter: PastWinter) -> bool:
        """Whether a record says the same."""
        return self.document == recorded_document(winter)

    @property
    def document(self) -> Document:
        """All of it as one document."""
        beside = (self.system, self.planned_revision)
        return dict(zip(BESIDE, beside, strict=True)) | self.facts


def facts_as_sent(kept: PastWinter) -> Document:
    """Return the facts as they were sent, but for what is kept beside them."""
    return json.loads(kept.facts)


def recorded_document(kept: PastWinter) -> Document:
    """Return the facts with system and planned revision."""
    return Draft(kept.system, kept.planned_revision, facts_as_sent(kept)).document


def drafted(
    desk: Desk,
    caller: Caller,
    head: Head,
    season: str,
    document: Document,
    stands: PastWinter | None,
) -> Draft:
    """Read and check facts, and fill in what plan they are held against.

    Parameters
    ----------
    desk, caller
        Where and who.
    head : Head
        Of the scenario.
    season : str
        Name of the winter.
    document : dict
        The facts as sent.
    stands : PastWinter or None
        What is recorded of the winter.

    Raises
    ------
    InputError
        If the facts cannot be so; carries every fault.
    SeasonError
        If the plan is for no winter of that name.
    """
    facts, faults, trusts = _read(desk, document)
    number, unknown = _planned(facts, head, stands)
    faults += [*_text_faults(facts), *unknown]
    scenario = _scenario_at(desk, head, number)
    try:
        named = season_called(season, scenario.winter.first_day, scenario.winter.last_day)
    except InputError as error:
        raise SeasonError(error.faults) from None
    system = facts.system or (stands.system if stands is not None else None)
    costed = None
    if facts.bales_fed is not None or system is None:
        costed = _costed(desk, caller, head, number)
    if system is None and costed is not None:
        system = str(costed["best_system"])
    if system is None:
        raise InputError([*faults, _no_best(scenario, number)])
    days = days_of(facts, named)
    possible = None if costed is None else most_bales(costed, facts, scenario, days)
    between = fact_faults(facts, scenario, system, named, bales_possible=possible)
    faults += [fault for fault in between if trusts(fault)]
    if faults:
        raise InputError(faults)
    given = {name: fact for name, fact in _without_null(document).items() if name not in BESIDE}
    return Draft(system, number, plain(given))


def _read(
    desk: Desk, document: Document
) -> tuple[WinterFacts, list[Fault], Callable[[Fault], bool]]:
    """Return the facts that can be so, the faults of the others, and which faults to trust.

    Raises
    ------
    InputError
        If nothing can be read, or not what plan the facts are to be held against.
    """
    try:
        return desk.read_facts(document), [], lambda _: True
    except FaultyFactsError as error:
        if any(getattr(error.others, name) is None and name in document for name in BESIDE):
            raise
        return error.others, list(error.faults), error.trusts


def _no_best(scenario: Scenario, number: int) -> Fault:
    detail = (
        f"Revision {number} cannot be costed by the engine of now, so that its best system is not "
        "known; name the system that was used."
    )
    return Fault("system", detail, allowed=f"one of {', '.join(scenario.systems)}")


def _text_faults(facts: WinterFacts) -> Iterator[Fault]:
    for name, title in TEXTS.items():
        text = getattr(facts, name)
        fault = text_fault(name, title, text, LONGEST_TEXT, lines=True) if text else None
        if fault is not None:
            yield fault


def _planned(facts: WinterFacts, head: Head, stands: PastWinter | None) -> tuple[int, list[Fault]]:
    """Return the number of the planned revision, the newest if there is none of that number."""
    if facts.planned_revision is None:
        return (stands.planned_revision if stands is not None else head.revision), []
    number = int(facts.planned_revision)
    if number <= head.revision:
        return number, []
    detail = f"The scenario has no revision {number}; its newest is {head.revision}."
    fault = Fault("planned_revision", detail, received=number, allowed=f"1 to {head.revision}")
    return head.revision, [fault]


def _scenario_at(desk: Desk, head: Head, number: int) -> Scenario:
    with desk.store.reading() as session:
        kept = kept_at(session, desk, head, number)
    try:
        return desk.read(with_winters(desk, kept))
    except InputError:
        detail = f"Revision {number} cannot be read by the engine of now; plan with another."
        raise InputError([Fault("planned_revision", detail, received=number)]) from None


def _costed(desk: Desk, caller: Caller, head: Head, number: int) -> Document | None:
    """Return the stored costing of a revision; None if it cannot be costed any more."""
    try:
        return body_of(costing_now(desk, caller, head.id, number))
    except InputError:
        return None


def _without_null(document: Document) -> Document:
    """Return facts without those that are said to be nothing."""
    return {
        name: _without_null(fact) if is_object(fact) else fact
        for name, fact in document.items()
        if fact is not None
    }
