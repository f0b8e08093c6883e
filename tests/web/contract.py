"""The contract of the interface: what a caller relies on, drawn from its description.

Words are left out, so that a better sentence or a newer library changes nothing here. Renewed on
purpose with ``python -m tests.web.contract``.
"""

import json
from pathlib import Path
from typing import Any

from service.web.app import create_app
from service.web.openapi import describe

FILE = Path(__file__).with_name("contract.json")
KEPT = (
    "type",
    "enum",
    "const",
    "pattern",
    "minimum",
    "exclusiveMinimum",
    "maximum",
    "exclusiveMaximum",
    "multipleOf",
    "maxLength",
    "maxProperties",
    "x-unit",
    "$ref",
    "required",
    "additionalProperties",
)


def contract(description: dict[str, Any]) -> dict[str, Any]:
    """Draw the contract from a description (OpenAPI)."""
    return {
        "operations": {
            f"{method.upper()} {path}": _operation(operation)
            for path, methods in description["paths"].items()
            for method, operation in methods.items()
        },
        "schemas": {
            name: _schema(schema) for name, schema in description["components"]["schemas"].items()
        },
    }


def _operation(operation: dict[str, Any]) -> dict[str, Any]:
    return {
        "operation": operation["operationId"],
        "parameters": {
            parameter["name"]: {
                "in": parameter["in"],
                "required": parameter.get("required", False),
                **_schema(parameter["schema"]),
            }
            for parameter in operation.get("parameters", [])
        },
        "body": _content(operation.get("requestBody", {})),
        "answers": {status: _content(answer) for status, answer in operation["responses"].items()},
    }


def _content(place: dict[str, Any]) -> dict[str, Any]:
    return {kind: _schema(found["schema"]) for kind, found in place.get("content", {}).items()}


def _schema(schema: Any) -> Any:
    if not isinstance(schema, dict):
        return schema
    found = {name: schema[name] for name in KEPT if name in schema}
    if isinstance(found.get("additionalProperties"), dict):
        found["additionalProperties"] = _schema(found["additionalProperties"])
    if isinstance(found.get("required"), list):
        found["required"] = sorted(found["required"])
    if "properties" in schema:
        found["properties"] = {name: _schema(part) for name, part in schema["properties"].items()}
    if "items" in schema:
        found["items"] = _schema(schema["items"])
    for name in ("oneOf", "anyOf"):
        if name in schema:
            found[name] = [_schema(part) for part in schema[name]]
    return found


def written(found: dict[str, Any]) -> str:
    """Return the contract as it is kept."""
    return json.dumps(found, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(written(contract(describe(create_app()))), "utf-8")
