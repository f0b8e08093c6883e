"""Site screening: the fields of a system held against setbacks; and the places that are known."""

from dataclasses import asdict
from functools import cache
from typing import Annotated, Any, Literal

import orjson
from fastapi import APIRouter, Query
from pydantic import Field
from starlette.requests import Request
from starlette.responses import Response

from service.costing.reference.setbacks import DISCLAIMER, setback_table
from service.scenarios.chosen import chosen
from service.scenarios.desk import Caller
from service.season.site.document import SITE_TABLES, site_document, site_rows
from service.season.site.screening import screened
from service.web import tables
from service.web.answers import is_head, json_bytes
from service.web.attending import acting, desk_of
from service.web.identifiers import ScenarioId
from service.web.negotiation import CATALOG_CACHING, JSON, TableParameters, attached, wants_csv
from service.web.season_forms import (
    SystemParameters,
    form_asked,
    in_forms,
    revalidated,
    season_told,
    table_answer,
)
from service.web.site_models import PlaceList

FORMS = ("json", "csv")
PLACE_COLUMNS = (
    "place",
    "place_title",
    "ask",
    "key",
    "activity",
    "from_what",
    "kind",
    "distance_ft",
    "lots_only",
    "slope_limit_percent",
    "conditions",
    "source",
    "where",
    "date",
    "mark",
)

router = APIRouter()


class SiteParameters(SystemParameters):
    """Which system is screened, and in which form."""

    format: Literal["json", "csv"] | None = Field(
        None, title="Form", description="json or csv; goes before the header Accept."
    )
    table: Literal["checks", "fields"] = Field(
        "checks", title="Table", description="Which rows CSV has."
    )


@in_forms(
    router,
    "/v1/scenarios/{scenario}/site",
    FORMS,
    "get_site",
    summary="The fields of a system held against setbacks",
    tags=["After the decision"],
    response_class=Response,
    openapi_extra={"x-answer": "SiteScreening", "x-table": True},
)
async def get_site(
    request: Request, scenario: ScenarioId, parameters: Annotated[SiteParameters, Query()]
) -> Response:
    """Hold the fields that a system uses in winter against setbacks, slope, drainage and water.

    Setbacks are those of the place that the scenario names, or its own figure; without either none
    is checked. Nitrogen and phosphorus are what hay brings in a mean winter; what no credible model
    gives is listed as not estimated.
    """
    form = form_asked(request, parameters.format, parameters.dialect, FORMS)

    def work(caller: Caller) -> Response:
        with season_told():
            found = chosen(
                desk_of(request),
                caller,
                scenario,
                revision=parameters.revision,
                system=parameters.system,
                keep=not is_head(request),
            )
        screening = screened(found.subject)
        revision = found.kept.revision.number
        if form == "csv":
            name = f"site-{scenario}-{revision}-{parameters.table}"
            columns = SITE_TABLES[parameters.table]
            rows = site_rows(screening, parameters.table)
            return table_answer(request, name, columns, rows, parameters.dialect)
        about = {"scenario": found.kept.head.id, "revision": revision}
        return revalidated(request, json_bytes({**about, **site_document(screening)}), JSON)

    return await acting(request, work)


@in_forms(
    router,
    "/v1/places",
    FORMS,
    "list_places",
    summary="The places whose setbacks are known",
    tags=["Reference"],
    response_model=PlaceList,
    responses={
        200: {
            "content": {
                kind: {"schema": {"type": "string"}}
                for kind in ("text/csv", "text/tab-separated-values")
            }
        }
    },
)
async def list_places(
    request: Request, parameters: Annotated[TableParameters, Query()]
) -> Response:
    """List every place with its setbacks, each with source and date; none holds everywhere.

    As CSV a row for each setback.
    """
    headers = {"Cache-Control": CATALOG_CACHING, "Vary": "Accept"}
    if not wants_csv(request, parameters):
        return Response(_places(), media_type=JSON, headers=headers)
    return Response(
        tables.table(PLACE_COLUMNS, _rows(), parameters.dialect),
        media_type=tables.media_type(parameters.dialect),
        headers={**headers, **attached("places", "csv", parameters.dialect)},
    )


@cache
def _places() -> bytes:
    table = setback_table()
    items = [
        {
            "place": place.key,
            **{name: value for name, value in asdict(place).items() if name != "key"},
        }
        for place in table.places.values()
    ]
    return orjson.dumps({"read_on": table.read_on, "disclaimer": DISCLAIMER, "items": items})


def _rows() -> list[dict[str, Any]]:
    return [
        {**asdict(setback), "ask": place.ask}
        for place in setback_table().places.values()
        for setback in place.setbacks
    ]
