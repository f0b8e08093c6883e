"""Parameters of costings that are read by hand, and how OpenAPI describes them.

Those of a costing as of now have free names, so no model can. Those of a stored one are few, and
its address is the most used: what a model costs would be a good part of the whole answer.
"""

from collections.abc import Sequence
from typing import Any

from starlette.requests import Request

from service.costing.errors import nearest
from service.reports.tables.costing_tables import TABLES
from service.web.identifiers import MOST_REVISIONS
from service.web.leaf_rules import received, shortened
from service.web.negotiation import FORMS
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError
from service.web.tables import MANNERS

SETTING = "set."
REVISION = "revision"
TOKEN = "token"  # noqa: S105 - a name
AGAINST = "against"
NOW = "now"
PARAMETERS = (REVISION, TOKEN, f"{SETTING}<path>")
FORMAT, TABLE, SHAPE, DIALECT = FORM_PARAMETERS = ("format", "table", "shape", "dialect")
SHAPES = ("wide", "long")

Described = dict[str, Any]


def in_query(name: str, description: str, *, required: bool = False, **schema: object) -> Described:
    """Describe a parameter of the query; it is text unless the schema says otherwise."""
    title = name.replace("_", " ").capitalize()
    return {
        "name": name,
        "in": "query",
        "required": required,
        "description": description,
        "schema": {"type": "string", "title": title, **schema},
    }


OF_FORM: list[Described] = [
    in_query(FORMAT, "json, csv or xlsx; goes before the header Accept.", enum=list(FORMS)),
    in_query(
        TABLE,
        "One kind of row: as CSV, lines if not given; as JSON, an array of records.",
        enum=list(TABLES),
    ),
    in_query(SHAPE, "long: a row for each system and figure; of figures alone.", enum=list(SHAPES)),
    in_query(
        DIALECT,
        "Of CSV: excel adds a byte order mark; excel-eu has semicolons and decimal commas too; "
        "tsv has tabs.",
        enum=list(MANNERS),
    ),
]
"""Which form of a costing."""

OF_REVISION: list[Described] = [
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
"""Which revision, and with what changed."""

COSTING: list[Described] = [*OF_REVISION, *OF_FORM]
"""Of a costing as of now."""

STORED_COSTING: list[Described] = [
    *OF_FORM,
    {
        "name": AGAINST,
        "in": "query",
        "required": False,
        "description": "now: answers what has changed since, by system and line.",
        "schema": {"type": "string", "const": NOW, "title": "Against"},
    },
]
"""Of a stored costing."""


SCENARIO, SYSTEM, YEAR, PER, ERRORS = CELL_PARAMETERS = (
    "scenario",
    "system",
    "year",
    "per",
    "errors",
)
IN_TEXT = "text"

CELL: list[Described] = [
    in_query(SCENARIO, "Id of a stored scenario.", required=True),
    in_query(
        SYSTEM,
        "A key, best or baseline; needed unless the figure is of the costing.",
        maxLength=100,
    ),
    in_query(YEAR, "Turns a line into its flow in that year, from 0.", type="integer", minimum=0),
    in_query(
        PER,
        "Splits money a year: year, head, head_day (of a group: head.cows) or ton_dm_eaten.",
        maxLength=100,
    ),
    in_query(
        ERRORS,
        "text: what is wrong is answered as the text of the cell, with status 200, so that a "
        "spreadsheet shows it.",
        const=IN_TEXT,
    ),
    *OF_REVISION,
]
"""Of a single cell."""


def stored_query(request: Request) -> dict[str, str]:
    """Return what the address of a stored costing asks for, by name; the token is left out.

    Raises
    ------
    ProblemError
        If a parameter is unknown, given twice or not understood; names every one. The values of
        those that say which form are not looked at here.
    """
    if not request.scope["query_string"]:
        return {}
    known = (AGAINST, TOKEN, *FORM_PARAMETERS)
    errors: list[dict[str, Any]] = []
    given: dict[str, str] = {}
    for name, text in request.query_params.multi_items():
        if name not in known:
            errors.append(unknown_parameter(name, known))
        elif name in given:
            errors.append({"input": name, "detail": f"{name} is given more than once."})
        elif name != TOKEN:
            given[name] = text
    against = given.get(AGAINST)
    if against not in {None, NOW}:
        detail = f"{AGAINST} must be {NOW}."
        errors.append(
            {"input": AGAINST, "detail": detail, "received": received(against), "allowed": NOW}
        )
    if errors:
        raise ProblemError(INVALID_PARAMETER, errors=errors)
    return given


def unknown_parameter(name: str, known: Sequence[str]) -> dict[str, Any]:
    """Return the fault of a parameter that there is not, with the nearest that there is."""
    shown = shortened(name)
    near = nearest(shown, known)
    hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
    error = {"input": shown, "detail": f"There is no parameter {shown!r} here; {hint}"}
    return error | ({"suggestion": near} if near else {})
