"""The answer sheet to fill in, as everybody may have it."""

from functools import cache

from anyio.to_thread import run_sync
from fastapi import APIRouter
from starlette.responses import Response

from service.reports.answer_sheet import template
from service.web.negotiation import CATALOG_CACHING, XLSX, attached

router = APIRouter(tags=["Spreadsheets"])


@router.get(
    "/v1/templates/scenario.xlsx",
    operation_id="get_template",
    summary="The answer sheet to fill in",
    response_class=Response,
    responses={200: {"content": {XLSX: {"schema": {}}}}},
)
async def get_template() -> Response:
    """Return a workbook with a cell for every input, its unit, usual range and reference value.

    Fill it in and send it to `/v1/scenarios` as it is; what is not understood is answered with
    sheet and cell. A stored scenario comes as the same workbook: add `.xlsx` to its address.
    """
    headers = {"Cache-Control": CATALOG_CACHING, **attached("scenario", "xlsx")}
    return Response(await run_sync(_empty), media_type=XLSX, headers=headers)


@cache
def _empty() -> bytes:
    return template()
