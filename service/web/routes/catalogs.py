"""The catalogues: what can be asked and answered, and every default with unit, range and source."""

from collections.abc import Callable
from functools import cache
from typing import Annotated, Any

import orjson
from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.errors import UnknownEditionError, nearest
from service.costing.reference.table import Edition, load_edition, newest_edition
from service.web import catalog_items as items
from service.web.negotiation import CATALOG_CACHING, JSON, Listing, TableParameters, wants_csv
from service.web.problem_kinds import UNKNOWN_EDITION, UNKNOWN_REFERENCE_VALUE
from service.web.problems import ProblemError

CSV_OFFERED: dict[int | str, dict[str, Any]] = {
    200: {
        "content": {
            "text/csv": {"schema": {"type": "string"}},
            "text/tab-separated-values": {"schema": {"type": "string"}},
        }
    }
}
ADDRESS_FORMS = ("", ".csv", ".json")

router = APIRouter(tags=["Reference"])


class ReferenceParameters(TableParameters):
    """Which reference values, and in which form."""

    edition: str | None = Field(
        None, max_length=20, title="Edition", description="The newest, if not given."
    )
    prefix: str | None = Field(
        None, max_length=200, title="Prefix", description="Only keys that begin with it."
    )


class ReferenceValueParameters(TableParameters):
    """One reference value, and in which form."""

    edition: str | None = Field(
        None, max_length=20, title="Edition", description="The newest, if not given."
    )


def _offer(path: str, operation: str, summary: str, model: type) -> Callable[[Any], Any]:
    """Offer a catalogue at its address, and with a suffix for each form."""

    def register(endpoint: Any) -> Any:  # noqa: ANN401 - an endpoint
        for suffix in ADDRESS_FORMS:
            router.add_api_route(
                f"{path}{suffix}",
                endpoint,
                methods=["GET"],
                operation_id=operation if not suffix else f"{operation}_as_{suffix[1:]}",
                summary=summary,
                description=endpoint.__doc__,
                response_model=model,
                responses=CSV_OFFERED,
                include_in_schema=not suffix,
            )
        return endpoint

    return register


@_offer("/v1/inputs", "list_inputs", "All inputs of a scenario", items.InputList)
async def list_inputs(
    request: Request, parameters: Annotated[TableParameters, Query()]
) -> Response:
    """List every path of a scenario, with title, unit, allowed range and default."""
    return _inputs().answer(request, parameters)


@_offer("/v1/figures", "list_figures", "All figures of a costing", items.FigureList)
async def list_figures(
    request: Request, parameters: Annotated[TableParameters, Query()]
) -> Response:
    """List every number of a costing, its unit, and whether lower is better."""
    return _figures().answer(request, parameters)


@_offer("/v1/feeding-methods", "list_methods", "The feeding methods", items.MethodList)
async def list_methods(
    request: Request, parameters: Annotated[TableParameters, Query()]
) -> Response:
    """List the ways to feed on one day: where animals stand, and the inputs of each."""
    return _methods().answer(request, parameters)


@_offer("/v1/structures", "list_structures", "The kinds of structure", items.StructureList)
async def list_structures(
    request: Request, parameters: Annotated[TableParameters, Query()]
) -> Response:
    """List what can be built or bought to last, and the size that each kind goes by."""
    return _structures().answer(request, parameters)


@_offer(
    "/v1/reference-values",
    "list_reference_values",
    "All reference values",
    items.ReferenceValueList,
)
async def list_reference_values(
    request: Request, parameters: Annotated[ReferenceParameters, Query()]
) -> Response:
    """List every default with unit, low, usual, high and source.

    Any of them can be set under `assumptions`.
    """
    edition = edition_named(parameters.edition)
    prefix = parameters.prefix or ""
    rows = [row for row in _reference_rows(edition.name) if row["key"].startswith(prefix)]
    listing = Listing(
        "reference-values",
        items.columns(items.ReferenceValueItem),
        rows,
        {"edition": edition.name},
    )
    return listing.answer(request, parameters)


@router.get(
    "/v1/reference-values/{key}",
    operation_id="get_reference_value",
    summary="One reference value",
    response_model=items.ReferenceValue,
    responses=CSV_OFFERED,
)
async def get_reference_value(
    request: Request, key: str, parameters: Annotated[ReferenceValueParameters, Query()]
) -> Response:
    """Return one reference value with its source in full."""
    edition = edition_named(parameters.edition)
    bare = key.removesuffix(".csv").removesuffix(".json")
    if bare not in edition.rows:
        near = nearest(bare[:100], tuple(edition.rows))
        error = {
            "input": "key",
            "detail": f"No reference value is called {bare[:100]}"
            + (f"; did you mean {near}?" if near else "."),
            "received": bare[:100],
        }
        raise ProblemError(
            UNKNOWN_REFERENCE_VALUE,
            errors=[error | ({"suggestion": near} if near else {})],
        )
    row = edition.rows[bare]
    shown = items.reference_value(row, edition)
    if wants_csv(request, parameters):
        listing = Listing(bare, items.columns(items.ReferenceValueItem), [shown], {})
        return listing.answer(request, parameters)
    body = {
        "edition": edition.name,
        **shown,
        "source": items.source(edition.sources[row.source], edition),
    }
    return Response(
        orjson.dumps(body),
        media_type=JSON,
        headers={"Cache-Control": CATALOG_CACHING, "Vary": "Accept"},
    )


@_offer("/v1/sources", "list_sources", "The sources of the reference values", items.SourceList)
async def list_sources(
    request: Request, parameters: Annotated[ReferenceValueParameters, Query()]
) -> Response:
    """List the standards, handbooks, papers and sheets that reference values are from."""
    edition = edition_named(parameters.edition)
    return _sources(edition.name).answer(request, parameters)


def edition_named(name: str | None) -> Edition:
    """Return an edition, the newest if no name is given.

    Raises
    ------
    ProblemError
        If there is none of that name.
    """
    try:
        return load_edition(newest_edition() if name is None else name)
    except UnknownEditionError as error:
        detail = str(error)
        raise ProblemError(
            UNKNOWN_EDITION,
            errors=[{"input": "edition", "detail": f"{detail[:1].upper()}{detail[1:]}."}],
        ) from None


@cache
def _inputs() -> Listing:
    return Listing("inputs", items.columns(items.InputItem), items.input_items(), {})


@cache
def _figures() -> Listing:
    return Listing("figures", items.columns(items.FigureItem), items.figure_items(), {})


@cache
def _methods() -> Listing:
    return Listing("feeding-methods", items.columns(items.MethodItem), items.method_items(), {})


@cache
def _structures() -> Listing:
    return Listing("structures", items.columns(items.StructureItem), items.structure_items(), {})


@cache
def _sources(edition: str) -> Listing:
    loaded = load_edition(edition)
    rows = [items.source(source, loaded) for source in loaded.sources.values()]
    return Listing("sources", items.columns(items.SourceItem), rows, {"edition": edition})


@cache
def _reference_rows(edition: str) -> list[dict[str, Any]]:
    loaded = load_edition(edition)
    return [items.reference_value(row, loaded) for row in loaded.rows.values()]
