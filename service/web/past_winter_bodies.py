"""Winters as they were over HTTP: the body that records one, and what is answered of it."""

from collections.abc import Generator, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, pointer_of
from service.costing.json_shapes import is_object
from service.scenarios.past_winters import SeasonError, facts_as_sent
from service.scenarios.records import PastWinter
from service.web.answers import faults_told, json_answer, not_modified, refused, timestamp
from service.web.bodies import Sent
from service.web.facts_reading import facts_of
from service.web.leaf_rules import received, shortened
from service.web.preconditions import has_already
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.refusals import etag_of_revision
from service.web.scenario_answers import REVALIDATED, address_of
from service.web.scenario_body import refuse_unsound
from service.web.strict_json import Doubled

FACTS = "facts"
READ_ONLY = (
    "season",
    "version",
    "system",
    "planned_revision",
    "author",
    "created_at",
    "updated_at",
)
"""Members of an answer that may come back around the facts; they change nothing."""

MOST_UNKNOWN = 100
CREATED, OK = 201, 200


@dataclass(frozen=True, slots=True)
class SentFacts:
    """The facts of a winter as they were sent, bare or in an envelope."""

    facts: Any
    enveloped: bool

    @contextmanager
    def faults_told(self) -> Generator[None]:
        """Say of what is wrong with them where that stands in the body, or in the address."""
        with faults_told(self._pointer):
            try:
                yield
            except SeasonError as error:
                raise refused(error, kind=INVALID_PARAMETER) from None

    def _pointer(self, path: str) -> str:
        return (f"/{FACTS}" if self.enveloped else "") + pointer_of(self.facts, path)


def sent_facts(sent: Sent) -> SentFacts:
    """Read the body of a request that records a winter.

    Raises
    ------
    ProblemError
        If it is none; faults inside the facts are told only where they are not sound JSON.
    """
    given = _unwrapped(sent.value)
    if not sent.sound:
        with given.faults_told():
            facts_of(given.facts, sound=False)
            refuse_unsound(given.facts)
    return given


def winter_answer(request: Request, winter: PastWinter, *, made: bool = False) -> Response:
    """Answer with a winter as it stands, unless the caller has it already."""
    headers = {"ETag": etag_of_revision(winter.version), "Cache-Control": REVALIDATED}
    if request.method == "GET" and has_already(request, headers["ETag"]):
        return not_modified(headers)
    if made:
        headers["Location"] = f"{address_of(winter.scenario_id)}/winters/{winter.season}"
    return json_answer(winter_body(winter), CREATED if made else OK, headers)


def winter_body(winter: PastWinter) -> Mapping[str, Any]:
    """Return a winter as it was recorded."""
    return {
        "season": winter.season,
        "version": winter.version,
        "system": winter.system,
        "planned_revision": winter.planned_revision,
        "facts": facts_as_sent(winter),
        "author": {"id": winter.author_id, "label": winter.author_label},
        "created_at": timestamp(winter.created_at),
        "updated_at": timestamp(winter.updated_at),
    }


def _unwrapped(sent: object) -> SentFacts:
    if not is_object(sent):
        detail = 'The body must be the facts of a winter, or {"facts": {...}}.'
        with faults_told(_place):
            raise InputError([Fault("", detail, received=received(sent))])
    if FACTS not in sent:
        return SentFacts(sent, enveloped=False)
    faults = list(_faults(sent))
    with faults_told(_place):
        if faults:
            raise InputError(faults)
    return SentFacts(sent[FACTS], enveloped=True)


def _faults(sent: dict[str, Any]) -> Iterator[Fault]:
    """Yield what is wrong with an envelope."""
    for name in sent.names if isinstance(sent, Doubled) else ():
        yield Fault(name, f"{shortened(name)!r} is given more than once.")
    unknown = (name for name in sent if name not in {FACTS, *READ_ONLY})
    for name in islice(unknown, MOST_UNKNOWN):
        shown = shortened(name)
        near = nearest(shown, (FACTS,))
        detail = (
            f"There is no {shown!r} beside the facts; what is known of a winter stands in them."
        )
        yield Fault(name, detail, received=shown, suggestion=near)
    if not is_object(sent[FACTS]):
        yield Fault(FACTS, "facts must be an object.", received=received(sent[FACTS]))


def _place(name: str) -> str:
    return f"/{escaped(name)}" if name else ""
