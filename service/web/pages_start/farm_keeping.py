"""A farm from the form, kept for whoever shows a key that may write or an edit link."""

from dataclasses import dataclass, replace

from starlette.requests import Request

from service.scenarios import keeping
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.errors import UnknownScenarioError
from service.scenarios.records import Credential
from service.scenarios.replays import Answer, Then, once
from service.scenarios.sharing import DEFAULT_LINK_DAYS, make_link, noted_use
from service.web.attending import request_id_of
from service.web.limiting.recognition import identified
from service.web.pages_start.sent_sheet import Sheet
from service.web.refusals import REFUSALS

LINK_LABEL = "Page of the ten questions"
REMARK = "From the ten questions"
CREATED = 201
STAYS = ("name", "external_id")
"""What a farm is called by stays, where the form says nothing else."""

GONE = "The farm that this link opened is gone, or lies in the bin."
ONLY_READS = "What you gave only reads: a key with write access or an edit link keeps a farm."


@dataclass(frozen=True, slots=True)
class Visitor:
    """Whoever sent the form with a key or a link."""

    caller: Caller
    credential: Credential


@dataclass(frozen=True, slots=True)
class KeptFarm:
    """What came of keeping a farm."""

    scenario: str = ""
    revision: int = 0
    address: str = ""
    """Of its page: opened by a read link, which is shown here once."""
    days: int = DEFAULT_LINK_DAYS
    trouble: str = ""
    """Why it is not kept, or has no page of its own."""


def visitor_of(request: Request, desk: Desk, token: str) -> Visitor:
    """Return who shows a token.

    Raises
    ------
    UnknownTokenError
        If it opens nothing.
    """
    with desk.store.reading() as session:
        found = Visitor(*identified(session, desk, token, request_id_of(request)))
    noted_use(desk, found.credential, token)
    return found


def kept_farm(
    request: Request, desk: Desk, visitor: Visitor, sheet: Sheet, document: Document
) -> KeptFarm:
    """Keep a farm: a new scenario by a key, the next revision of its scenario by an edit link.

    The same sheet with the same answers is kept once, however often it is sent.

    Raises
    ------
    InputError
        If the document cannot be kept as it stands.
    """
    caller = visitor.caller
    if caller.access == "read":
        return KeptFarm(trouble=ONLY_READS)
    try:
        if caller.scenario_id is not None:
            return _put(desk, caller, caller.scenario_id, document)
        made = KeptFarm(scenario=_created(desk, caller, sheet, document), revision=1)
    except tuple(REFUSALS) as error:
        return KeptFarm(trouble=_said(error))
    try:
        _, token = make_link(desk, caller, made.scenario, "read", LINK_LABEL, DEFAULT_LINK_DAYS)
    except tuple(REFUSALS) as error:
        return replace(made, trouble=_said(error))
    host = (request.app.state.public_url or str(request.base_url)).rstrip("/")
    return replace(made, address=f"{host}/s/{token}")


def _created(desk: Desk, caller: Caller, sheet: Sheet, document: Document) -> str:
    def act(then: Then[keeping.Kept]) -> keeping.Kept:
        return keeping.create(desk, caller, document, REMARK, then)

    def answer_of(kept: keeping.Kept) -> Answer:
        return Answer(CREATED, b"", {}, kept.head.id)

    return once(desk, caller, sheet.content, sheet.content, act, answer_of).object_id


def _put(desk: Desk, caller: Caller, scenario: str, document: Document) -> KeptFarm:
    with desk.store.reading() as session:
        standing = keeping.current(session, desk, caller, scenario)
    there = {name: standing.document[name] for name in STAYS if name in standing.document}
    kept = keeping.replace(desk, caller, scenario, standing.head.revision, there | document, REMARK)
    return KeptFarm(scenario=scenario, revision=kept.head.revision)


def _said(error: Exception) -> str:
    if isinstance(error, UnknownScenarioError):
        return GONE
    problem = REFUSALS[type(error)](error)
    return problem.detail or f"{problem.kind.title}."
