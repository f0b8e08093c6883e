"""A review as a document and as rows of a table; nothing is rounded."""

from dataclasses import asdict
from typing import Any

from service.season.review.records import Review

REVIEW_COLUMNS = (
    "line",
    "title",
    "group",
    "planned",
    "actual",
    "weather",
    "price",
    "practice",
    "not_split",
    "recorded",
)
"""Columns of the table of lines."""


def review_document(review: Review) -> dict[str, Any]:
    """Return a review ready for JSON, its members named as in the records."""
    return asdict(review)


def review_rows(review: Review) -> list[dict[str, Any]]:
    """Return one row a line, without the total, so that a column can be added up."""
    return [{name: getattr(line, name) for name in REVIEW_COLUMNS} for line in review.lines]
