"""A scenario sent as an answer sheet: a workbook, or CSV; what is wrong names its cell or line.

It is read in the thread that works on the request, after its token was looked up. All of it is
taken or nothing.
"""

from dataclasses import dataclass

from starlette.requests import Request

from service.costing.errors import InputError
from service.reports.answer_sheet import CellFault, read_csv, read_workbook
from service.scenarios.changing import Change, changed
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.keeping import Kept
from service.web.answers import faults_told
from service.web.bodies import Body, Sent, refuse_other_types
from service.web.negotiation import CSV, JSON, XLSX
from service.web.scenario_body import SentDocument, sent_document
from service.web.sheet_order import in_order_of

NOT_UTF_8 = (
    "The file is not in UTF-8; save it as CSV UTF-8, or send the answer sheet as .xlsx, and send "
    "it again."
)


@dataclass
class SentSheet(Body):
    """An answer sheet as it was sent, and its media type."""

    kind: str


async def scenario_sent(request: Request) -> Sent | SentSheet:
    """Take the body of a request that stores a whole scenario, in one of three forms.

    Raises
    ------
    ProblemError
        If it is of another type.
    """
    raw = await request.body()
    kind = refuse_other_types(request, (JSON, XLSX, CSV))
    return Sent(raw) if kind == JSON else SentSheet(raw, kind)


def document_in(sent: Sent | SentSheet) -> SentDocument:
    """Read the document that was sent.

    Raises
    ------
    ProblemError
        If there is none; of an answer sheet it names every cell that is not understood.
    """
    if isinstance(sent, Sent):
        return sent_document(sent)
    with faults_told():
        document, places = (
            read_workbook(sent.raw) if sent.kind == XLSX else read_csv(_text_in(sent))
        )
    return SentDocument(document, remark=None, enveloped=False, places=places)


def replace_by_sheet(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    expected: int,
    document: Document,
    remark: str | None = None,
) -> Kept:
    """Put the document of an answer sheet in the place of the newest, in the order that it has.

    A sheet sent back as it came makes no new revision. The rest is as in ``keeping.replace``.
    """
    change = Change(scenario_id, expected, "put", remark)
    return changed(desk, caller, change, lambda _, kept: in_order_of(kept.document, document))


def _text_in(sent: SentSheet) -> str:
    try:
        return sent.raw.decode("utf-8")
    except UnicodeDecodeError:
        raise InputError([CellFault("", NOT_UTF_8)]) from None
