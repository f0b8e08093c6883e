"""A winter as it was, told on a phone: the form that an edit link opens.

The code of the link never stands in an address: what is behind the # of a link is not sent, and
the page sends it in the body of a form.
"""

from anyio.to_thread import run_sync
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from service.web.pages_winter.saving import answered, asked

router = APIRouter(tags=["After the decision"])


@router.get("/winter", include_in_schema=False)
async def get_winter_page(request: Request) -> Response:
    """Ask for the code of an edit link; a script of the page takes it from the address."""
    return asked(request)


@router.post("/winter", include_in_schema=False)
async def send_winter_form(request: Request) -> Response:
    """Show the form of a winter, or keep what stands on it."""
    return await run_sync(answered, request, await request.body())
