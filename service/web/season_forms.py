"""In which form a plan, a review or a screening is answered, and what its address asks for."""

from collections.abc import Callable, Generator, Mapping, Sequence
from contextlib import contextmanager
from hashlib import sha256
from typing import Any, TypeVar

from fastapi import APIRouter
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import InputError
from service.web import tables
from service.web.answers import not_modified, refused
from service.web.attending import TokenParameter
from service.web.identifiers import MOST_REVISIONS
from service.web.negotiation import CSV, HTML, JSON, attached, preferred
from service.web.preconditions import has_already
from service.web.problem_kinds import INVALID_INPUT, INVALID_PARAMETER

CALENDAR = "text/calendar"
FORM_TYPES: Mapping[str, str] = {"json": JSON, "csv": CSV, "ics": CALENDAR, "html": HTML}
IN_THE_ADDRESS = frozenset({"system", "season", "table"})
REVALIDATED = "private, no-cache"
TAG_LETTERS = 32

Endpoint = TypeVar("Endpoint", bound=Callable[..., Any])


class RevisionParameters(TokenParameter):
    """Of which revision, and how a table is written."""

    revision: int | None = Field(
        None, ge=1, le=MOST_REVISIONS, title="Revision", description="The newest, if not given."
    )
    dialect: tables.Dialect | None = Field(
        None,
        title="Dialect of CSV",
        description="excel adds a byte order mark; excel-eu has semicolons and decimal commas too; "
        "tsv has tabs.",
    )


class SystemParameters(RevisionParameters):
    """Which system of the scenario."""

    system: str | None = Field(
        None,
        max_length=100,
        title="System",
        description="A key, best or baseline; the best, if not given.",
    )


def in_forms(
    router: APIRouter,
    path: str,
    forms: Sequence[str],
    operation_id: str,
    **about: Any,  # noqa: ANN401 - as FastAPI takes it
) -> Callable[[Endpoint], Endpoint]:
    """Offer an address, and the same with a suffix for each form, described once.

    Parameters
    ----------
    router : APIRouter
        Takes the addresses.
    path : str
        The address without a suffix.
    forms : sequence of str
        Suffixes.
    operation_id : str
        Name of the operation.
    **about
        What else is said of it.
    """

    def register(endpoint: Endpoint) -> Endpoint:
        for suffix in ("", *(f".{form}" for form in forms)):
            router.add_api_route(
                f"{path}{suffix}",
                endpoint,
                methods=["GET"],
                operation_id=f"{operation_id}_as_{suffix[1:]}" if suffix else operation_id,
                description=endpoint.__doc__,
                include_in_schema=not suffix,
                **about,
            )
        return endpoint

    return register


def form_asked(
    request: Request, named: str | None, dialect: str | None, forms: Sequence[str]
) -> str:
    """Return the form that the caller wants: by suffix, by parameter, or by Accept.

    Parameters
    ----------
    request : Request
        Its address may end with a form, and its header Accept name one.
    named : str or None
        What ``format`` names.
    dialect : str or None
        Of CSV; who names one wants CSV.
    forms : sequence of str
        What there is, the first unless asked.
    """
    suffix = request.url.path.rpartition(".")[2]
    if suffix in forms:
        return suffix
    if named is not None:
        return named
    if dialect is not None:
        return "csv"
    kinds = tuple(FORM_TYPES[form] for form in forms)
    wanted = preferred(request.headers.get("Accept", ""), kinds)
    return forms[kinds.index(wanted)]


@contextmanager
def season_told() -> Generator[None]:
    """Tell what is wrong: with a part of the address, or with the scenario that is costed."""
    try:
        yield
    except InputError as error:
        of_address = all(fault.input in IN_THE_ADDRESS for fault in error.faults)
        raise refused(error, kind=INVALID_PARAMETER if of_address else INVALID_INPUT) from None


def revalidated(
    request: Request, content: bytes, media_type: str, headers: Mapping[str, str] | None = None
) -> Response:
    """Answer with an entity tag by the bytes, so that who has them is told so."""
    about = {
        "Cache-Control": REVALIDATED,
        "Vary": "Accept",
        "ETag": f'"{sha256(content).hexdigest()[:TAG_LETTERS]}"',
        **(headers or {}),
    }
    if has_already(request, about["ETag"]):
        return not_modified(about)
    return Response(content, media_type=media_type, headers=about)


def table_answer(
    request: Request,
    name: str,
    columns: Sequence[str],
    rows: Sequence[Mapping[str, object]],
    dialect: str | None,
) -> Response:
    """Answer with rows as CSV, to be saved under a name."""
    return revalidated(
        request,
        tables.table(columns, rows, dialect),
        tables.media_type(dialect),
        attached(name, "csv", dialect),
    )
