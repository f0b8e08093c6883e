"""Small request bodies: described, read and refused by one declaration each."""

import math
from collections.abc import Callable, Mapping
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from service.costing.errors import Fault, InputError, nearest
from service.costing.json_shapes import is_object
from service.costing.overrides import MOST_SETTINGS
from service.scenarios.sharing import DEFAULT_KEY_DAYS, DEFAULT_LINK_DAYS, MOST_DAYS
from service.web.bodies import Sent
from service.web.costing_request import envelope_pointer
from service.web.identifiers import MOST_REVISIONS
from service.web.leaf_rules import received, said, shortened
from service.web.scenario_body import READ_ONLY
from service.web.strict_json import Doubled, Uncountable

LONGEST_LABEL = 80
LONGEST_NOTE = 4000
LONGEST_PATH = 500
LONGEST_REMARK = 500
MOST_UNKNOWN = 100
ONE_LINE = r"^[^\x00-\x1f\x7f]*[^\x00-\x20\x7f][^\x00-\x1f\x7f]*$"
SOME_LINES = (
    r"^[^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*[^\x00-\x20\x7f][^\x00-\x08\x0b\x0c\x0e-\x1f\x7f]*$"
)


def whole(value: object) -> object:
    """Take 90.0 for 90: JSON knows one kind of number."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


Days = Annotated[
    int, Field(ge=1, le=MOST_DAYS, json_schema_extra={"x-unit": "day"}), BeforeValidator(whole)
]
Revision = Annotated[int, Field(ge=1, le=MOST_REVISIONS), BeforeValidator(whole)]
Label = Annotated[
    str,
    Field(
        min_length=1,
        max_length=LONGEST_LABEL,
        pattern=ONE_LINE,
        description="What it is for, to tell it from others: one line.",
    ),
]


class Asked(BaseModel):
    """What all requests share: no member that is not declared, no value of another type."""

    model_config = ConfigDict(extra="forbid", strict=True)


class KeyRequest(Asked):
    """A new office key."""

    access: Literal["read", "write", "admin"] = Field(
        description="admin: also keys, audit, erasure and what lies in the bin."
    )
    label: Label
    expires_in_days: Days = DEFAULT_KEY_DAYS


class LinkRequest(Asked):
    """A new share link of a scenario."""

    access: Literal["read", "edit"] = Field(
        description="edit: also changes the document, adds notes and records winters."
    )
    label: Label
    expires_in_days: Days = DEFAULT_LINK_DAYS


class NoteRequest(Asked):
    """A new remark."""

    text: str = Field(min_length=1, max_length=LONGEST_NOTE, pattern=SOME_LINES)
    input: str | None = Field(
        None, max_length=LONGEST_PATH, description="Path of the input, or of the part, it is about."
    )
    revision: Revision | None = Field(None, description="The newest, if not given.")


class CopyRequest(Asked):
    """What a copy is made of."""

    revision: Revision | None = Field(None, description="The newest, if not given.")
    set: dict[str, Any] = Field(
        {},
        max_length=MOST_SETTINGS,
        description="Value by input path; null goes back to the default.",
    )
    name: str | None = Field(None, max_length=200, pattern=ONE_LINE)
    external_id: str | None = Field(None, max_length=100, pattern=ONE_LINE)


class ErasureRequest(Asked):
    """Whether what was copied from the scenario goes with it."""

    copies: bool = Field(default=False, description="Whether copies of it are erased too.")


COSTING_REQUEST: dict[str, Any] = {
    "title": "CostingRequest",
    "type": "object",
    "description": "A scenario, and single inputs of it changed by their paths.",
    "properties": {
        "document": {"$ref": "#/components/schemas/Scenario"},
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

SCENARIO_ENVELOPE: dict[str, Any] = {
    "title": "ScenarioEnvelope",
    "type": "object",
    "description": "A scenario document and a remark on what was changed. An answer may be sent "
    "back as it came: its other members are ignored.",
    "properties": {
        "document": {"$ref": "#/components/schemas/Scenario"},
        "remark": {"type": "string", "maxLength": LONGEST_REMARK, "title": "Remark"},
        **{name: {"readOnly": True} for name in sorted(READ_ONLY)},
    },
    "required": ["document"],
    "additionalProperties": False,
}
SCENARIO_REQUEST: dict[str, Any] = {
    "title": "ScenarioRequest",
    "description": "A scenario document, or one with a remark.",
    "oneOf": [
        {"$ref": "#/components/schemas/Scenario"},
        {"$ref": "#/components/schemas/ScenarioEnvelope"},
    ],
}
SCENARIO_PATCH: dict[str, Any] = {
    "title": "ScenarioPatch",
    "type": "object",
    "description": "A merge patch (RFC 7396) of the document: only what changes; null removes a "
    'member; a list is replaced whole. Or {"document": {patch}, "remark": "..."}.',
    "additionalProperties": {},
}
WRITTEN_OUT: tuple[dict[str, Any], ...] = (
    COSTING_REQUEST,
    SCENARIO_ENVELOPE,
    SCENARIO_REQUEST,
    SCENARIO_PATCH,
)
"""Bodies around a scenario document; they are read elsewhere."""

REQUESTS: tuple[type[Asked], ...] = (
    KeyRequest,
    LinkRequest,
    NoteRequest,
    CopyRequest,
    ErasureRequest,
)

Request = TypeVar("Request", bound=Asked)


def read_as(model: type[Request], body: Sent) -> Request:
    """Return a body as the request that it should be.

    Raises
    ------
    InputError
        If it is not; carries every fault found.
    """
    sent = body.value
    if not is_object(sent):
        members = ", ".join(model.model_fields)
        detail = f"The body must be an object with: {members}."
        raise InputError([Fault("", detail, received=received(sent))])
    faults = [*_doubled(sent)]
    for name, value in sent.items():
        faults += _doubled(value, f"{name}.")
    counted = {name: math.nan if _lost(value) else value for name, value in sent.items()}
    try:
        found = model.model_validate(counted)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=True)
        faults += [_fault(model, sent, one) for one in details[:MOST_UNKNOWN]]
        raise InputError(faults) from None
    if faults:
        raise InputError(faults)
    return found


def member_pointer(path: str) -> str:
    """Return the JSON Pointer of a member of a small body, or of a setting in it."""
    return envelope_pointer(path)


def _doubled(node: object, before: str = "") -> list[Fault]:
    """Faults of names that are given more than once."""
    names = node.names if isinstance(node, Doubled) else ()
    return [
        Fault(f"{before}{name}", f"{shortened(name)!r} is given more than once.") for name in names
    ]


def _lost(value: object) -> bool:
    """Whether a value is a number that nobody can compute with."""
    return isinstance(value, Uncountable)


def _fault(model: type[Asked], sent: Mapping[str, Any], error: ErrorDetails) -> Fault:
    name = str(error["loc"][0]) if error["loc"] else ""
    value = sent.get(name)
    if error["type"] == "extra_forbidden":
        shown, known = shortened(name), tuple(model.model_fields)
        near = nearest(shown, known)
        hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
        return Fault(shown, f"There is no {shown!r} here; {hint}", suggestion=near)
    if error["type"] == "missing":
        return Fault(name, f"{name} is missing.", allowed=_allowed(model, name))
    must = MUST.get(error["type"], _in_other_words)(error)
    return Fault(
        name,
        f"{name} must {must}, not {said(value)}.",
        received=received(value),
        allowed=_allowed(model, name),
        suggestion=_nearest_word(model, name, value),
    )


def _in_other_words(error: ErrorDetails) -> str:
    return f"be otherwise ({error['msg']})"


def _words(error: ErrorDetails) -> str:
    return f"be one of {str(error.get('ctx', {}).get('expected')).replace(' or ', ', ')}"


MUST: Mapping[str, Callable[[ErrorDetails], str]] = {
    "string_type": lambda _: "be text",
    "int_type": lambda _: "be a whole number",
    "int_from_float": lambda _: "be a whole number",
    "bool_type": lambda _: "be true or false",
    "dict_type": lambda _: "be an object",
    "literal_error": _words,
    "string_too_short": lambda _: "not be empty",
    "string_pattern_mismatch": lambda _: "be text with no control characters, and not blank",
    "string_too_long": lambda error: f"have at most {_limit(error, 'max_length')} characters",
    "too_long": lambda error: f"have at most {_limit(error, 'max_length')} members",
    "greater_than_equal": lambda error: f"be at least {_limit(error, 'ge')}",
    "less_than_equal": lambda error: f"be at most {_limit(error, 'le')}",
}


def _limit(error: ErrorDetails, name: str) -> str:
    return str(error.get("ctx", {}).get(name))


def _schema(model: type[Asked], name: str) -> Mapping[str, Any]:
    return model.model_json_schema()["properties"][name]


def _allowed(model: type[Asked], name: str) -> str | None:
    schema = _schema(model, name)
    if "enum" in schema:
        return ", ".join(schema["enum"])
    if "minimum" in schema and "maximum" in schema:
        return f"{schema['minimum']} to {schema['maximum']}"
    if "maxLength" in schema:
        return f"text of at most {schema['maxLength']:,} characters"
    return None


def _nearest_word(model: type[Asked], name: str, value: object) -> str | None:
    words = _schema(model, name).get("enum", ())
    return nearest(value, words) if words and isinstance(value, str) else None
