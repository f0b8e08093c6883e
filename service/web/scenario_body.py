"""The body of a request that stores a scenario: the document, or an envelope around it."""

from collections.abc import Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, item_names, joined, pointer_of
from service.costing.json_shapes import is_array, is_object
from service.reports.answer_sheet.faults import Places, placed
from service.web.answers import faults_told
from service.web.bodies import Sent
from service.web.leaf_rules import COUNTABLE, received, said, shortened
from service.web.reading import scenario_of
from service.web.strict_json import Doubled, Uncountable

DOCUMENT = "document"
REMARK = "remark"
MEMBERS = (DOCUMENT, REMARK)
READ_ONLY = frozenset(
    {
        "id",
        "external_id",
        "name",
        "revision",
        "reference_edition",
        "created_at",
        "updated_at",
        "made_by",
        "made_from",
        "author",
        "origin",
    }
)
"""Members of an answer that may come back with it; they change nothing. Name and external id are
changed inside the document."""

MOST_UNKNOWN = 100


@dataclass(frozen=True, slots=True)
class SentDocument:
    """A document, or a merge patch of one, as it was sent."""

    document: dict[str, Any]
    remark: str | None
    enveloped: bool
    places: Places | None = None
    """Cell or line by path, where it came as an answer sheet."""

    @contextmanager
    def faults_told(self) -> Generator[None]:
        """Say of what is wrong with it where that stands in the body as sent."""
        if self.places is None:
            with faults_told(self.pointer):
                yield
            return
        with faults_told():
            try:
                yield
            except InputError as error:
                raise InputError(placed(error.faults, self.places)) from None

    def pointer(self, path: str) -> str:
        """Return the JSON Pointer, in the body as sent, of an input path."""
        if path == REMARK and REMARK not in self.document:
            return f"/{REMARK}"
        envelope = f"/{DOCUMENT}" if self.enveloped else ""
        return envelope + pointer_of(self.document, path)


def sent_document(sent: Sent) -> SentDocument:
    """Read the body of a request that stores a whole document.

    Raises
    ------
    ProblemError
        If it is none; faults inside the document are told only where it is not sound JSON.
    """
    given = _unwrapped(sent)
    if not sent.sound:
        with faults_told(given.pointer):
            scenario_of(given.document, sound=False)
            refuse_unsound(given.document)
    return given


def sent_patch(sent: Sent) -> SentDocument:
    """Read the body of a request that changes a document by a merge patch (RFC 7396).

    Raises
    ------
    ProblemError
        If it is none.
    """
    given = _unwrapped(sent)
    if not sent.sound:
        with faults_told(given.pointer):
            refuse_unsound(given.document)
    return given


def refuse_unsound(node: object) -> None:
    """Refuse what holds a number that nobody can compute with, or a name given twice.

    Raises
    ------
    InputError
        If it does; names every place.
    """
    faults = list(_unsound(node, ""))
    if faults:
        raise InputError(faults)


def _unsound(node: object, path: str) -> Iterator[Fault]:
    if isinstance(node, Uncountable):
        yield Fault(path, f"{path} {COUNTABLE}, not {said(node)}.", received=received(node))
    elif is_object(node):
        if isinstance(node, Doubled):
            for name in node.names:
                inner = joined((path, shortened(name)))
                yield Fault(inner, f"{inner} is given more than once.")
        for name, member in node.items():
            yield from _unsound(member, joined((path, name)))
    elif is_array(node):
        names = item_names(path.rpartition(".")[2], node)
        for name, item in zip(names, node, strict=True):
            yield from _unsound(item, joined((path, name)))


def _unwrapped(body: Sent) -> SentDocument:
    sent = body.value
    if not is_object(sent):
        detail = 'The body must be a scenario, or {"document": {...}, "remark": "..."}.'
        with faults_told(_place):
            raise InputError([Fault("", detail, received=received(sent))])
    if DOCUMENT not in sent:
        return SentDocument(sent, remark=None, enveloped=False)
    faults = list(_faults(sent))
    with faults_told(_place):
        if faults:
            raise InputError(faults)
    return SentDocument(sent[DOCUMENT], sent.get(REMARK), enveloped=True)


def _faults(sent: dict[str, Any]) -> Iterator[Fault]:
    """Yield what is wrong with an envelope."""
    if isinstance(sent, Doubled):
        for name in sent.names:
            yield Fault(name, f"{shortened(name)!r} is given more than once.")
    known = {*MEMBERS, *READ_ONLY}
    for name in [name for name in sent if name not in known][:MOST_UNKNOWN]:
        yield _unknown(name)
    document, remark = sent[DOCUMENT], sent.get(REMARK)
    if not is_object(document):
        yield Fault(DOCUMENT, "document must be an object.", received=received(document))
    if remark is not None and (not isinstance(remark, str) or isinstance(remark, Uncountable)):
        yield Fault(REMARK, "remark must be text.", received=received(remark))


def _unknown(name: str) -> Fault:
    shown = shortened(name)
    near = nearest(shown, MEMBERS)
    hint = f"did you mean {near}?" if near else f"known: {', '.join(MEMBERS)}."
    detail = f"There is no {shown!r} beside the document; {hint}"
    return Fault(name, detail, received=shown, suggestion=near)


def _place(name: str) -> str:
    return f"/{escaped(name)}" if name else ""
