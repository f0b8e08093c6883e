"""All of what the page shows as records for machines, and a document ready to be sent."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from service.trust.gaps import not_rebuilt, unchecked
from service.trust.records import CLAIMS, ORIGINS, Case, Line, to_json
from service.trust.review_records import GRADES, Review
from service.trust.review_records import to_json as review_to_json
from service.trust.wording import by_claim, counts


class UnknownDocumentError(LookupError):
    """There is no such case, document or line; says which there are."""


def records(cases: Sequence[Case], review: Review) -> dict[str, Any]:
    """Return everything, with outcomes and counts worked out; counts stand by claim alone.

    Parameters
    ----------
    cases : sequence of Case
        In the order of the page.
    review : Review
        Of the reference values.
    """
    return {
        "claims": CLAIMS,
        "origins": ORIGINS,
        "counts": {
            claim: {"cases": len(found), **counts(found)} for claim, found in by_claim(cases)
        },
        "cases": [case_record(case) for case in cases],
        "unchecked": [asdict(each) for each in unchecked()],
        "not_rebuilt": [asdict(each) for each in not_rebuilt()],
        "grades": GRADES,
        "review": review_to_json(review),
    }


def case_record(case: Case) -> dict[str, Any]:
    """Return a case without its documents but their names, each line with its outcome."""
    (record,) = to_json((case,))
    record["documents"] = list(case.documents)
    for row, line in zip(record["lines"], case.lines, strict=True):
        row |= {"outcome": line.outcome, "difference": line.difference}
    return record


def case_of(cases: Sequence[Case], key: str) -> Case:
    """Return a case by its key, however it is written.

    Raises
    ------
    UnknownDocumentError
        If there is none.
    """
    found = next((case for case in cases if case.key.lower() == key.lower()), None)
    if found is None:
        known = ", ".join(case.key for case in cases)
        message = f"There is no case {key[:100]!r}. There are {known}."
        raise UnknownDocumentError(message)
    return found


def document_of(case: Case, name: str) -> dict[str, Any]:
    """Return a document of a case.

    Raises
    ------
    UnknownDocumentError
        If there is none of that name.
    """
    if name not in case.documents:
        known = ", ".join(case.documents) or "none"
        message = f"Case {case.key} has no document {name[:100]!r}. There are: {known}."
        raise UnknownDocumentError(message)
    return case.documents[name]


def line_of(case: Case, name: str, number: int) -> Line:
    """Return a line of a case by its number, which must come from the document of a name.

    Raises
    ------
    UnknownDocumentError
        If there is none.
    """
    lines = {each: line for each, line in enumerate(case.lines, 1) if line.document == name}
    if number not in lines:
        known = ", ".join(str(each) for each in lines) or "none"
        message = f"Document {name} of case {case.key} has no line {number}. There are: {known}."
        raise UnknownDocumentError(message)
    return lines[number]
