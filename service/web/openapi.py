"""The published description of the interface (OpenAPI 3.1), made from the routes and the core."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from service.costing.json_shapes import is_array, is_object
from service.costing.overrides import MOST_SETTINGS
from service.costing.result import ENGINE_VERSION
from service.costing.scenario import Scenario
from service.web.costing_answer import Costing
from service.web.problems import MEDIA_TYPE

EXAMPLES = Path(__file__).parents[2] / "openapi_examples"
"""Shown in the documentation and replayed by the tests; absent from an installed wheel."""

Schema = dict[str, Any]

REFERENCE = "#/components/schemas/{model}"
TITLE = "Winterground"
DESCRIPTION = """\
What each way of feeding beef cows and sheep through a wet winter costs a farm per year.

Send a scenario, get every system costed and compared. Units are in the names of inputs and figures
and again as `x-unit`; money is in the scenario's currency at constant prices. Lists come as JSON or
CSV: add `.csv` to the address, or `format=csv`, or ask by `Accept`; `dialect` suits a spreadsheet.
HEAD works wherever GET does. An `X-Request-Id` is sent back. Whatever is not a success is a problem
(RFC 9457) that names every fault at once.

Planning figures from the answers given; not an engineering design, a permit, a grant decision,
veterinary or tax advice.
"""
TAGS = [
    {"name": "Costing", "description": "Cost a scenario as it is sent; nothing is stored."},
    {"name": "Reference", "description": "What can be asked and answered, and every default."},
    {"name": "Office", "description": "State and versions of the service."},
]


class ProblemFault(BaseModel):
    """One fault."""

    model_config = ConfigDict(extra="forbid")

    pointer: str = Field("", description="JSON Pointer (RFC 6901) of the place in the body.")
    input: str = Field("", description="Path of the input.")
    cell: str = Field("", description="Sheet and cell, where a workbook was sent.")
    detail: str = Field(description="What to change, in a sentence.")
    received: Any = Field("", description="What was sent, shortened.")
    allowed: str = Field("", description="What can be sent.")
    unit: str = Field("", description="Unit of the value.")
    suggestion: str = Field("", description="Nearest known name or path.")


class Problem(BaseModel):
    """What went wrong (RFC 9457)."""

    model_config = ConfigDict(extra="forbid")

    type: str = Field(description="Address of the page about this kind of problem.")
    title: str
    status: int
    detail: str = ""
    errors: list[ProblemFault] = Field([], description="All faults at once.")
    errors_in_all: int = Field(0, description="Number of faults, where not all are listed.")
    request_id: str = ""


COSTING_REQUEST: dict[str, Any] = {
    "title": "CostingRequest",
    "type": "object",
    "description": "A scenario, and single inputs of it changed by their paths.",
    "properties": {
        "document": {"$ref": REFERENCE.format(model="Scenario")},
        "scenario": {"type": "string", "description": "Id of a stored scenario, instead."},
        "set": {
            "type": "object",
            "description": "Value by input path; null goes back to the default.",
            "additionalProperties": {},
            "maxProperties": MOST_SETTINGS,
        },
    },
    "oneOf": [{"required": ["document"]}, {"required": ["scenario"]}],
    "additionalProperties": False,
}


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
    schemas = described["components"]["schemas"]
    for name in ("HTTPValidationError", "ValidationError"):
        schemas.pop(name, None)
    _add(schemas, "Scenario", _rebuilt(_rebuilt(_scenario_schema(), _without_null), _closed))
    schemas["CostingRequest"] = COSTING_REQUEST
    for model in (Costing, Problem):
        found = model.model_json_schema(ref_template=REFERENCE, mode="serialization")
        _add(schemas, model.__name__, found)
    for path in described["paths"].values():
        for operation in path.values():
            _complete(operation)
    return described


def _add(schemas: dict[str, Any], name: str, schema: dict[str, Any]) -> None:
    schemas.update(schema.pop("$defs", {}))
    schemas[name] = schema


def _complete(operation: dict[str, Any]) -> None:
    """Add what the routes do not say: the body, the answer, problems and examples."""
    answers = operation["responses"]
    answers.pop("422", None)
    answers["default"] = {
        "description": "A problem.",
        "content": {MEDIA_TYPE: {"schema": {"$ref": REFERENCE.format(model="Problem")}}},
    }
    for parameter in operation.get("parameters", []):
        parameter["schema"] = _rebuilt(parameter["schema"], _without_null)
    if "x-body" in operation:
        schema = {"$ref": REFERENCE.format(model=operation.pop("x-body"))}
        shown = _examples_of(operation["operationId"])
        content = {"schema": schema} | ({"examples": shown} if shown else {})
        operation["requestBody"] = {"required": True, "content": {"application/json": content}}
    if "x-answer" in operation:
        schema = {"$ref": REFERENCE.format(model=operation.pop("x-answer"))}
        answers["200"]["content"] = {"application/json": {"schema": schema}}


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
