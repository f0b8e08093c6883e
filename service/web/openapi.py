"""The published description of the interface (OpenAPI 3.1), made from the routes and the core.

A route says what it answers (``x-answer``), what it takes (``x-body``), whether its answer comes as
a table too (``x-table``), as a workbook (``x-workbook``), as a calendar and a page to print
(``x-calendar``) or as a page where it fails (``x-page``), whether its
body may be a table (``x-rows``), and whether its
body or, without one, its answer may be an answer sheet (``x-sheet``); this turns it into what
OpenAPI has for it.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import TypeAdapter

from service.costing.json_shapes import is_array, is_object
from service.costing.result import ENGINE_VERSION
from service.costing.scenario import Scenario
from service.web.analysis_models import QUESTION_ANSWERS
from service.web.bodies import MERGE_PATCH
from service.web.costing_answer import Costing
from service.web.difference_models import ANSWERS
from service.web.negotiation import CSV, HTML, JSON, XLSX
from service.web.openapi_headers import REVALIDATED, headers_of
from service.web.openapi_words import DESCRIPTION, TAGS, TITLE
from service.web.past_winter_models import PAST_WINTER_ANSWERS, winters_written_out
from service.web.problems import MEDIA_TYPE
from service.web.question_models import QUESTION_REQUESTS, QUESTIONS_WRITTEN_OUT
from service.web.quick_start_models import QUICK_START_ANSWERS, QUICK_START_REQUEST
from service.web.request_models import REQUESTS, WRITTEN_OUT
from service.web.season_models import SEASON_ANSWERS, season_schema
from service.web.sweep_models import SWEEP_ANSWERS, SWEEPS_WRITTEN_OUT
from service.web.table_answer import TableRecords
from service.web.weather_models import WEATHER_ANSWERS, WEATHER_REQUESTS

EXAMPLES = Path(__file__).parents[2] / "openapi_examples"
"""Shown in the documentation and replayed by the tests; absent from an installed wheel."""

Schema = dict[str, Any]

REFERENCE = "#/components/schemas/{model}"
SECURITY_SCHEMES: Mapping[str, Schema] = {
    "bearer": {
        "type": "http",
        "scheme": "bearer",
        "description": "An office key, or the token of a share link.",
    },
    "token": {
        "type": "apiKey",
        "in": "query",
        "name": "token",
        "description": "The token of a read link; on GET only.",
    },
}
KEPT = (
    "/v1/scenarios",
    "/v1/comparisons",
    "/v1/cell",
    "/v1/keys",
    "/v1/me",
    "/v1/audit",
    "/v1/weather-records",
    "/v1/sweeps",
)
"""Addresses that need a key or a link begin so."""

KEYS_ALONE = frozenset(
    {
        "list_scenarios",
        "list_links",
        "list_keys",
        "list_audit",
        "list_weather_records",
        "get_weather_record",
        "get_weather_days",
        "list_sweeps",
        "get_sweep",
        "get_sweep_results",
        "list_sweep_problems",
    }
)
"""What can be read and is more than one scenario's, or tells who may see it."""

WITHOUT_BODY_TOO = frozenset({"copy_scenario", "erase_scenario"})
OR_ELSE: Mapping[str, tuple[str, ...]] = {
    "get_costing": ("TableRecords",),
    "get_stored_costing": ("TableRecords", "CostingDifference"),
}
"""What an operation answers if it is asked for something else by a parameter."""

OPEN_TO_SOME = frozenset({"cost_document", "answer_question", "answer_quick_start"})
"""What needs a key or a link unless the operator opens it."""

SAID = {"201": "Made.", "204": "Done; there is nothing to add."}
NOT_MODIFIED = "304"
CALENDAR = "text/calendar"
TABLES = ("text/csv", "text/tab-separated-values")
TEXT: Schema = {"type": "string"}


def describe(app: FastAPI) -> dict[str, Any]:
    """Return the description; made once, when it is first asked for."""
    if app.openapi_schema is None:
        app.openapi_schema = _description(app)
    return app.openapi_schema


def examples() -> Iterator[dict[str, Any]]:
    """Yield the examples, in the order of their file names."""
    if EXAMPLES.is_dir():
        for file in sorted(EXAMPLES.glob("*.json")):
            yield json.loads(file.read_text("utf-8"))


def _description(app: FastAPI) -> dict[str, Any]:
    described = get_openapi(
        title=TITLE,
        version=ENGINE_VERSION,
        description=DESCRIPTION,
        routes=app.routes,
        tags=TAGS,
    )
    schemas = described.setdefault("components", {}).setdefault("schemas", {})
    for name in ("HTTPValidationError", "ValidationError"):
        schemas.pop(name, None)
    _add(schemas, "Scenario", _rebuilt(_rebuilt(_scenario_schema(), _without_null), _closed))
    winters = winters_written_out(REFERENCE)
    others = (QUICK_START_REQUEST, *SWEEPS_WRITTEN_OUT)
    for written in (*WRITTEN_OUT, *QUESTIONS_WRITTEN_OUT, *others, *winters):
        _add(schemas, written["title"], _rebuilt(_rebuilt({**written}, _without_null), _closed))
    for model in (*REQUESTS, *WEATHER_REQUESTS, *QUESTION_REQUESTS.values()):
        found = model.model_json_schema(ref_template=REFERENCE, mode="validation")
        _add(schemas, model.__name__, _rebuilt(found, _without_null))
    for model in (
        Costing,
        TableRecords,
        *QUICK_START_ANSWERS,
        *ANSWERS,
        *WEATHER_ANSWERS,
        *QUESTION_ANSWERS,
        *PAST_WINTER_ANSWERS,
        *SWEEP_ANSWERS,
    ):
        found = model.model_json_schema(ref_template=REFERENCE, mode="serialization")
        _add(schemas, model.__name__, found)
    for name, kind in SEASON_ANSWERS.items():
        _add(schemas, name, season_schema(kind, REFERENCE))
    rows = schemas["KeptWeatherRecord"]["properties"]["rows"]
    rows["items"] = {"$ref": REFERENCE.format(model="WinterRow")}  # of the scenario, as described
    described["components"]["securitySchemes"] = dict(SECURITY_SCHEMES)
    for path, methods in described["paths"].items():
        for method, operation in methods.items():
            _secure(path, method, operation)
            _complete(operation)
    described["paths"] = dict(sorted(described["paths"].items(), key=_place))
    return described


def _place(item: tuple[str, Schema]) -> tuple[int, str]:
    """Where a path stands: by its tag, then by itself."""
    path, methods = item
    tag = next(iter(methods.values()))["tags"][0]
    return [known["name"] for known in TAGS].index(tag), path


def _add(schemas: dict[str, Any], name: str, schema: dict[str, Any]) -> None:
    """Add a schema and its parts; no two of them may have one name."""
    for part, found in [*schema.pop("$defs", {}).items(), (name, schema)]:
        if schemas.setdefault(part, found) != found:
            message = f"two schemas are called {part}"
            raise ValueError(message)


def _secure(path: str, method: str, operation: Schema) -> None:
    """Say which keys and links open an operation; the token is described there and only there."""
    operation["parameters"] = [
        parameter
        for parameter in operation.get("parameters", [])
        if parameter["name"] != "token" or parameter["in"] != "query"
    ]
    if path.startswith(KEPT):
        by_link = method == "get" and operation["operationId"] not in KEYS_ALONE
        operation["security"] = [{"bearer": []}, *([{"token": []}] if by_link else [])]
    elif operation["operationId"] in OPEN_TO_SOME:
        operation["security"] = [{}, {"bearer": []}]


def _complete(operation: Schema) -> None:
    """Add what the routes do not say: headers, the body, the answer, problems and examples."""
    name, answers = operation["operationId"], operation["responses"]
    answers.pop("422", None)
    for parameter in operation["parameters"]:
        parameter["schema"] = _rebuilt(parameter["schema"], _without_null)
    operation["parameters"] += list(headers_of(name))
    if not operation["parameters"]:
        del operation["parameters"]
    if "x-body" in operation:
        operation["requestBody"] = _body(name, operation.pop("x-body"))
    good = next(status for status in answers if status.startswith("2"))
    answers[good]["description"] = SAID.get(good, answers[good]["description"])
    if "x-answer" in operation:
        answer = {"schema": _answer(name, operation.pop("x-answer"))}
        for status in answers:
            if status.startswith("2"):
                answers[status]["content"] = {JSON: answer}
    _add_forms(operation, answers[good])
    if name in REVALIDATED:
        answers[NOT_MODIFIED] = {"description": "What the caller has still stands."}
    problem = {MEDIA_TYPE: {"schema": {"$ref": REFERENCE.format(model="Problem")}}}
    page = {HTML: {"schema": TEXT}} if operation.pop("x-page", False) else {}
    answers["default"] = {"description": "A problem.", "content": problem | page}


def _add_forms(operation: Schema, good: Schema) -> None:
    """Add the forms other than JSON of the answer and of the body."""
    if operation.pop("x-table", False):
        good["content"] |= {kind: {"schema": TEXT} for kind in TABLES}
    if operation.pop("x-workbook", False):
        good["content"][XLSX] = {"schema": {}}
    if operation.pop("x-calendar", False):
        good["content"] |= {CALENDAR: {"schema": TEXT}, HTML: {"schema": TEXT}}
    if operation.pop("x-rows", False):
        operation["requestBody"]["content"][CSV] = {"schema": TEXT}
    if operation.pop("x-sheet", False):
        place = operation.get("requestBody", good)
        place["content"] |= {XLSX: {"schema": {}}, CSV: {"schema": TEXT}}


def _body(operation: str, model: str) -> Schema:
    schema = {"$ref": REFERENCE.format(model=model)}
    shown = _examples_of(operation)
    content = {"schema": schema} | ({"examples": shown} if shown else {})
    kinds = (MERGE_PATCH, JSON) if model == "ScenarioPatch" else (JSON,)
    return {
        "required": operation not in WITHOUT_BODY_TOO,
        "content": dict.fromkeys(kinds, content),
    }


def _answer(operation: str, model: str) -> Schema:
    kinds = [
        {"$ref": REFERENCE.format(model=kind)} for kind in (model, *OR_ELSE.get(operation, ()))
    ]
    return {"anyOf": kinds} if len(kinds) > 1 else kinds[0]


def _examples_of(operation: str) -> dict[str, Any]:
    return {
        found["name"]: {"summary": found["summary"], "value": found["request"]}
        for found in examples()
        if found["operation"] == operation
    }


def _scenario_schema() -> dict[str, Any]:
    schema = TypeAdapter(Scenario).json_schema(ref_template=REFERENCE, mode="validation")
    for place in [*schema["$defs"].values(), schema]:
        for found in place.get("properties", {}).values():
            _require_tag(schema["$defs"], found)
    return schema


def _require_tag(definitions: dict[str, Any], schema: dict[str, Any]) -> None:
    """Say that the word which tells variants apart must be sent, though each has but one."""
    for inner in (schema, schema.get("items", {}), schema.get("additionalProperties", {})):
        if not is_object(inner) or "discriminator" not in inner:
            continue
        word = inner["discriminator"]["propertyName"]
        for target in inner["discriminator"]["mapping"].values():
            variant = definitions[target.rpartition("/")[2]]
            variant["required"] = sorted({*variant.get("required", []), word})
            variant["properties"][word].pop("default", None)


def _rebuilt(schema: Any, change: Callable[[Schema], Schema]) -> Any:  # noqa: ANN401 - any part
    """Return a schema with ``change`` applied to every object in it, the innermost first."""
    if is_array(schema):
        return [_rebuilt(part, change) for part in schema]
    if not is_object(schema):
        return schema
    return change({name: _rebuilt(part, change) for name, part in schema.items()})


def _without_null(found: Schema) -> Schema:
    """Leave out null: what may be absent is described as absent."""
    if found.get("default", "") is None:
        del found["default"]
    kinds = found.get("anyOf")
    if is_array(kinds) and {"type": "null"} in kinds:
        kinds = [kind for kind in kinds if kind != {"type": "null"}]
        found["anyOf"] = kinds
        if len(kinds) == 1:
            del found["anyOf"]
            found = found | kinds[0]
    return found


def _closed(found: Schema) -> Schema:
    """Say of maps by key that a key of another form is refused."""
    patterns = found.pop("patternProperties", {})
    for pattern, items in patterns.items():
        found["additionalProperties"] = items
        found["propertyNames"] = {"pattern": pattern}
    return found
