"""What is answered of questions and of the work on them."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import orjson

from service.analysis.questions import QUESTIONS
from service.costing.json_shapes import is_object
from service.scenarios.analyses import ENDED, Answered, request_of, result_of
from service.scenarios.desk import Document
from service.scenarios.records import Job, JobSummary
from service.scenarios.replays import Answer
from service.web.answers import json_bytes, timestamp
from service.web.problem_kinds import INTERNAL_ERROR, KINDS
from service.web.problems import problem_response
from service.web.scenario_answers import address_of

CREATED, ACCEPTED, OK = 201, 202, 200
RETRY_AFTER = {"Retry-After": "2"}
SEEDED = frozenset(
    name
    for name, question in QUESTIONS.items()
    if any(item.name == "seed" for item in fields(question))
)
"""Questions whose answer hangs on chance."""


def address_of_analysis(job: JobSummary) -> str:
    """Return the address of an analysis."""
    return f"{address_of(job.scenario_id)}/analyses/{job.id}"


def posted_answer(answered: Answered) -> Answer:
    """Return what is answered to a question: made, there already, or being worked on."""
    job, is_new = answered
    address = address_of_analysis(job)
    headers = {"Content-Location": address}
    if job.state not in ENDED:
        status, more = ACCEPTED, {"Location": address, **RETRY_AFTER}
    elif is_new:
        status, more = CREATED, {"Location": address}
    else:
        status, more = OK, {}
    return Answer(status, json_bytes(analysis_body(job)), headers | more, job.id)


def headers_of(job: JobSummary) -> Mapping[str, str]:
    """Return the headers that go with an analysis: when to look again while it is open."""
    return {} if job.state in ENDED else RETRY_AFTER


def analysis_body(job: Job) -> Document:
    """Return an analysis with its result, as far as there is one."""
    result = result_of(job) or {}
    warnings = result.pop("warnings", [])
    return {
        **analysis_item(job),
        "result": result or None,
        "warnings": warnings,
        "problem": None if job.problem is None else told_problem(job.problem),
    }


def analysis_item(job: JobSummary) -> Document:
    """Return an analysis as it stands in a list."""
    return {
        "id": job.id,
        "scenario": job.scenario_id,
        "revision": job.revision,
        "question": job.question,
        "state": job.state,
        "progress": {"done": job.done, "total": job.total, "unit": "part"},
        "cancel_requested_at": timestamp(job.cancel_at) if job.cancel_at else None,
        "engine_version": job.engine_version,
        "reference_edition": job.reference_edition,
        "seed": job.seed if job.question in SEEDED else None,
        "content_key": job.request_key,
        "request": request_of(job),
        "created_at": timestamp(job.created_at),
        "started_at": timestamp(job.started_at) if job.started_at else None,
        "finished_at": timestamp(job.finished_at) if job.finished_at else None,
        "expires_at": timestamp(job.expires_at),
    }


def unsaved_body(about: Mapping[str, Any], request: Document, result: Document) -> Document:
    """Return the answer to a question of which nothing is kept.

    Parameters
    ----------
    about : mapping
        What was asked of: scenario and revision, engine and edition.
    request : dict
        The question, every default written out.
    result : dict
        The answer with its warnings.
    """
    warnings = result.pop("warnings", [])
    return {
        "question": request["question"],
        **about,
        "seed": request["seed"] if request["question"] in SEEDED else None,
        "request": request,
        "result": result,
        "warnings": warnings,
    }


def told_problem(text: str) -> Document:
    """Return what went wrong as it would have been answered."""
    told = orjson.loads(text)
    kind = KINDS.get(told["kind"], INTERNAL_ERROR)
    response = problem_response(kind, told["detail"], errors=told["errors"])
    body = orjson.loads(bytes(response.body))
    return body if is_object(body) else {}
