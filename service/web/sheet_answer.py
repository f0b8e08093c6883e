"""A stored scenario answered as the answer sheet that it can be sent back in."""

from starlette.requests import Request
from starlette.responses import Response

from service.reports.answer_sheet import About, csv_of, template
from service.scenarios.kept import Kept
from service.web import tables
from service.web.answers import http_date, not_modified
from service.web.negotiation import XLSX, attached
from service.web.preconditions import has_already
from service.web.refusals import etag_of_revision
from service.web.scenario_answers import REVALIDATED, address_of


def sheet_answer(request: Request, kept: Kept, form: str) -> Response:
    """Answer with a revision as a workbook or as CSV, unless the caller has it already.

    Parameters
    ----------
    request : Request
        What was asked.
    kept : Kept
        The scenario at the revision.
    form : str
        xlsx or csv.
    """
    number = kept.revision.number
    headers = {
        "ETag": etag_of_revision(number, form),
        "Content-Location": f"{address_of(kept.head.id)}/revisions/{number}.{form}",
        "Last-Modified": http_date(kept.revision.created_at),
        "Cache-Control": REVALIDATED,
        "Vary": "Accept",
    }
    if has_already(request, headers["ETag"]):
        return not_modified(headers)
    if form == "xlsx":
        content, kind = template(kept.document, About(kept.head.id, number)), XLSX
    else:
        content, kind = csv_of(kept.document).encode(), tables.media_type(None)
    saved = attached(f"scenario-{kept.head.id}-{number}", form)
    return Response(content, media_type=kind, headers={**headers, **saved})
