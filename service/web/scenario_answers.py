"""What is answered of scenarios, revisions and stored costings."""

from collections.abc import Mapping
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.erasure import Erased
from service.scenarios.keeping import Kept
from service.scenarios.records import CostingSummary, Head, RevisionSummary
from service.scenarios.replays import Answer
from service.web.answers import http_date, json_answer, json_bytes, not_modified, timestamp
from service.web.preconditions import has_already
from service.web.refusals import etag_of_revision

REVALIDATED = "private, no-cache"
"""May be kept by the caller, if it asks each time whether it still stands."""


def address_of(scenario_id: str) -> str:
    """Return the address of a scenario."""
    return f"/v1/scenarios/{scenario_id}"


def scenario_answer(request: Request, kept: Kept) -> Response:
    """Answer with a scenario as it stands, unless the caller has it already."""
    headers = {**scenario_headers(kept), "Cache-Control": REVALIDATED}
    if request.method == "GET" and has_already(request, headers["ETag"]):
        return not_modified(headers)
    return json_answer(scenario_body(kept), headers=headers)


def posted_answer(kept: Kept, status: int = 201) -> Answer:
    """Return what is answered, and answered again, to a POST that made a revision."""
    headers = dict(scenario_headers(kept))
    if status == 201:  # noqa: PLR2004 - Created
        headers["Location"] = address_of(kept.head.id)
    return Answer(status, json_bytes(scenario_body(kept)), headers, kept.head.id)


def scenario_headers(kept: Kept) -> Mapping[str, str]:
    """Return the headers that go with a scenario."""
    number = kept.revision.number
    return {
        "ETag": etag_of_revision(number),
        "Content-Location": f"{address_of(kept.head.id)}/revisions/{number}",
        "Last-Modified": http_date(kept.head.updated_at),
    }


def scenario_body(kept: Kept) -> dict[str, Any]:
    """Return a scenario with its newest document."""
    head, revision = kept.head, kept.revision
    return {
        "id": head.id,
        "external_id": head.external_id,
        "name": head.name,
        "revision": revision.number,
        "reference_edition": revision.reference_edition,
        "created_at": timestamp(head.created_at),
        "updated_at": timestamp(head.updated_at),
        "made_by": revision.made_by,
        "made_from": revision.made_from,
        "author": author_of(revision),
        "remark": revision.remark,
        "origin": origin_of(head),
        "document": kept.document,
    }


def scenario_item(head: Head) -> dict[str, Any]:
    """Return a scenario as it stands in a list."""
    return {
        "id": head.id,
        "external_id": head.external_id,
        "name": head.name,
        "revision": head.revision,
        "created_at": timestamp(head.created_at),
        "updated_at": timestamp(head.updated_at),
        "binned_at": timestamp(head.binned_at) if head.binned_at else None,
        "origin": origin_of(head),
    }


def revision_item(revision: RevisionSummary) -> dict[str, Any]:
    """Return a revision as it stands in a list."""
    return {
        "revision": revision.number,
        "reference_edition": revision.reference_edition,
        "document_sha256": revision.document_sha256,
        "made_by": revision.made_by,
        "made_from": revision.made_from,
        "author": author_of(revision),
        "remark": revision.remark,
        "created_at": timestamp(revision.created_at),
    }


def revision_body(kept: Kept) -> dict[str, Any]:
    """Return a revision with its document."""
    return {
        "scenario": kept.head.id,
        **revision_item(kept.revision),
        "document": kept.document,
    }


def costing_item(costing: CostingSummary, moved: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    """Return a stored costing as it stands in a list.

    Parameters
    ----------
    costing : CostingSummary
        What is kept of it beside the answer.
    moved : mapping
        What has moved since it was made: engine, edition.
    """
    return {
        "id": costing.id,
        "revision": costing.revision,
        "engine_version": costing.engine_version,
        "reference_edition": costing.reference_edition,
        "content_key": costing.content_key,
        "best_system": costing.best_system,
        "annual_equivalent_cost": costing.annual_equivalent_cost,
        "currency": costing.currency,
        "created_at": timestamp(costing.created_at),
        "moved": moved,
    }


def erasure_body(erased: Erased) -> dict[str, Any]:
    """Return what was erased, and what is left."""
    return {
        "scenario": erased.scenario_id,
        "erased_at": timestamp(erased.erased_at),
        "revisions": erased.counts.revisions,
        "costings": erased.counts.costings,
        "notes": erased.counts.notes,
        "links": erased.counts.links,
        "winters": erased.counts.winters,
        "copies": list(erased.copies),
        "erased_copies": list(erased.erased_copies),
        "gone_from_files": erased.gone_from_files,
        "backups_forget_on": erased.backups_forget_on.isoformat(),
    }


def author_of(revision: RevisionSummary) -> dict[str, str]:
    """Return the key or link that made a revision."""
    return {"id": revision.author_id, "label": revision.author_label}


def origin_of(head: Head) -> dict[str, Any] | None:
    """Return what a scenario was copied from."""
    if head.origin_id is None:
        return None
    return {"scenario": head.origin_id, "revision": head.origin_revision}
