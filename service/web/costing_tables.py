"""A costing answered as a table or as a workbook."""

import gzip
from collections.abc import Mapping
from typing import Any

import orjson
from starlette.requests import Request
from starlette.responses import Response

from service.reports.tables.costing_tables import table
from service.reports.tables.table import records
from service.scenarios.kept import Kept
from service.scenarios.records import StoredCosting
from service.web import tables
from service.web.answers import json_bytes, not_modified
from service.web.costing_forms import CostingForm
from service.web.negotiation import JSON, XLSX, attached
from service.web.preconditions import has_already

Document = Mapping[str, Any]

EXTERNAL_ID = "external_id"


def body_in(costing: StoredCosting) -> Document:
    """Return a stored costing as a document, read as fast as it can be."""
    return orjson.loads(gzip.decompress(costing.result))


def stored_table(
    request: Request, costing: StoredCosting, asked: CostingForm, headers: Mapping[str, str]
) -> Response:
    """Answer with a table or the workbook of a stored costing; one without an id has no ETag."""
    about = {**headers, "Vary": "Accept"}
    if costing.id:
        about["ETag"] = f'"{costing.id}-{asked.name}"'
        if has_already(request, about["ETag"]):
            return not_modified(about)
    body = body_in(costing)
    of = {
        "scenario": costing.scenario_id,
        EXTERNAL_ID: body["inputs_used"].get(EXTERNAL_ID),
        "revision": costing.revision,
        "created_at": costing.created_at,
    }
    return _answer(body, of, asked, about)


def what_if_table(kept: Kept, content: bytes, asked: CostingForm) -> Response:
    """Answer with a table or the workbook of a costing that is not stored."""
    body = orjson.loads(content)
    of = {
        "scenario": kept.head.id,
        EXTERNAL_ID: body["inputs_used"].get(EXTERNAL_ID),
        "revision": kept.revision.number,
    }
    return _answer(body, of, asked, {"Cache-Control": "no-store", "Vary": "Accept"})


def _answer(
    body: Document, of: Document, asked: CostingForm, headers: Mapping[str, str]
) -> Response:
    name = f"costing-{of['scenario']}-{of['revision']}"
    if asked.table is None:
        from service.reports.results_workbook.workbook import (  # noqa: PLC0415 - takes time
            workbook_of,
        )

        saved = attached(name, "xlsx")
        return Response(workbook_of(body, of), media_type=XLSX, headers={**headers, **saved})
    found = table(asked.table, body, of, asked.shape)
    if asked.form == "json":
        return Response(json_bytes(records(found)), media_type=JSON, headers=dict(headers))
    return Response(
        tables.table(found.names, found.rows, asked.dialect),
        media_type=tables.media_type(asked.dialect),
        headers={**headers, **attached(f"{name}-{asked.table}", "csv", asked.dialect)},
    )
