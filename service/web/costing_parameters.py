"""Parameters of costings that are read by hand, and how OpenAPI describes them.

Those of a costing as of now have free names, so no model can. Those of a stored one are few, and
its address is the most used: what a model costs would be a good part of the whole answer.
"""

from collections.abc import Sequence
from typing import Any

from starlette.requests import Request

from service.costing.errors import nearest
from service.web.identifiers import MOST_REVISIONS
from service.web.leaf_rules import received, shortened
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError

SETTING = "set."
REVISION = "revision"
TOKEN = "token"  # noqa: S105 - a name
AGAINST = "against"
NOW = "now"
PARAMETERS = (REVISION, TOKEN, f"{SETTING}<path>")

COSTING: list[dict[str, Any]] = [
    {
        "name": REVISION,
        "in": "query",
        "required": False,
        "description": "Number of the revision; the newest, if not given.",
        "schema": {
            "type": "integer",
            "minimum": 1,
            "maximum": MOST_REVISIONS,
            "title": "Revision",
        },
    },
    {
        "name": "set",
        "in": "query",
        "required": False,
        "style": "form",
        "explode": True,
        "description": "set.<path>=value changes one input for this answer alone; nothing is "
        "stored. `default` goes back to the default; words of a list are joined by commas.",
        "schema": {
            "type": "object",
            "propertyNames": {"pattern": r"^set\.[a-z]"},
            "additionalProperties": {"type": "string"},
            "title": "Settings",
        },
    },
]
"""Of a costing as of now."""

STORED_COSTING: list[dict[str, Any]] = [
    {
        "name": AGAINST,
        "in": "query",
        "required": False,
        "description": "now: answers what has changed since, by system and line.",
        "schema": {"type": "string", "const": NOW, "title": "Against"},
    },
]
"""Of a stored costing."""


def against_now(request: Request) -> bool:
    """Whether a stored costing is to be held against the one of now.

    Raises
    ------
    ProblemError
        If a parameter is unknown or not understood; names every one.
    """
    if not request.scope["query_string"]:
        return False
    errors = [
        unknown_parameter(name, (AGAINST, TOKEN))
        for name in request.query_params
        if name not in {AGAINST, TOKEN}
    ]
    against = request.query_params.get(AGAINST)
    if against not in {None, NOW}:
        detail = f"{AGAINST} must be {NOW}."
        errors.append(
            {"input": AGAINST, "detail": detail, "received": received(against), "allowed": NOW}
        )
    if errors:
        raise ProblemError(INVALID_PARAMETER, errors=errors)
    return against is not None


def unknown_parameter(name: str, known: Sequence[str]) -> dict[str, Any]:
    """Return the fault of a parameter that there is not, with the nearest that there is."""
    shown = shortened(name)
    near = nearest(shown, known)
    hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
    error = {"input": shown, "detail": f"There is no parameter {shown!r} here; {hint}"}
    return error | ({"suggestion": near} if near else {})
