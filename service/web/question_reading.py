"""Reads a question and says everything that is wrong with it at once, however deep it stands."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, joined
from service.costing.json_shapes import is_array, is_object
from service.web.leaf_rules import COUNTABLE, received, said, shortened
from service.web.question_models import LARGEST, QUESTION_REQUESTS, AskedOfScenario
from service.web.request_models import MOST_UNKNOWN, MUST
from service.web.strict_json import Doubled, Uncountable

DEPTH = 4
"""How deep a question goes; what lies deeper is of no type that is taken."""
SET = "set"
SEVERAL = (
    "Several inputs that move together are refused: the values at which systems cost the same are "
    "then a line, not a point. Name one input."
)

Place = Sequence[str | int]
Schema = Mapping[str, Any]


def read_question(sent: object) -> tuple[AskedOfScenario | None, list[Fault]]:
    """Return the question that a body holds, or what is wrong with it.

    Parameters
    ----------
    sent : object
        The members of the body that belong to the question.

    Returns
    -------
    tuple of AskedOfScenario or None and list of Fault
        The inputs of the faults are counted from the question: ``head.values.3`` is the third.
    """
    if not is_object(sent):
        detail = 'The body must be an object: {"question": "...", ...}.'
        return None, [Fault("", detail, received=received(sent))]
    faults = list(_doubled(sent, ()))
    word = sent.get("question")
    model = QUESTION_REQUESTS.get(word) if isinstance(word, str) else None
    if model is None:
        return None, [*faults, _unknown_question(sent)]
    counted = {
        name: member if name == SET else _counted(member, DEPTH) for name, member in sent.items()
    }
    try:
        found = model.model_validate(counted)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=True)
        return None, [*faults, *(_fault(model, sent, one) for one in details[:MOST_UNKNOWN])]
    return (None, faults) if faults else (found, [])


def asked_in(sent: object) -> AskedOfScenario:
    """Return the question that a body holds.

    Raises
    ------
    InputError
        If it holds none that can be asked; carries every fault found.
    """
    found, faults = read_question(sent)
    if found is None:
        raise InputError(faults)
    return found


def pointer_in(sent: object, elsewhere: Callable[[str], str]) -> Callable[[str], str]:
    """Return what gives the JSON Pointer, in the body as sent, of the input of a fault.

    Parameters
    ----------
    sent : object
        The body.
    elsewhere : callable
        Gives the pointer of what is no member of the question.
    """
    members = _members(sent)

    def pointer(path: str) -> str:
        name = path.partition(".")[0]
        settings = sent.get(SET) if is_object(sent) else None
        if is_object(settings) and any(_leads(key, path) for key in settings):
            return elsewhere(path)
        if path.startswith(f"{SET}."):
            return _told((SET, path.removeprefix(f"{SET}.")))
        tokens = _walked(sent, path) if name in members else None
        return elsewhere(path) if tokens is None else _told(tokens)

    return pointer


def _members(sent: object) -> frozenset[str]:
    """Return the names that belong to the question of a body."""
    word = sent.get("question") if is_object(sent) else None
    model = QUESTION_REQUESTS.get(word) if isinstance(word, str) else None
    own = set(model.model_fields) if model else {"question", "revision", SET}
    return frozenset(own | (set(sent) - {"document", "scenario"} if is_object(sent) else set()))


def _leads(key: str, path: str) -> bool:
    return path == key or path.startswith(f"{key}.")


def _told(tokens: Sequence[str]) -> str:
    return "".join(f"/{escaped(token)}" for token in tokens)


def _walked(node: object, path: str) -> list[str] | None:
    """Return the tokens that lead to a place in a body, None if it leads past what is there."""
    tokens: list[str] = []
    rest = path
    while rest:
        if is_object(node):
            key = max((key for key in node if _leads(key, rest)), key=len, default=rest)
            tokens.append(key)
            node, rest = node.get(key), rest[len(key) + 1 :]
        elif is_array(node):
            number, _, rest = rest.partition(".")
            if not (number.isascii() and number.isdecimal() and 1 <= int(number) <= len(node)):
                return None
            tokens.append(str(int(number) - 1))
            node = node[int(number) - 1]
        else:
            break
    return tokens


def _doubled(node: object, place: Place) -> Iterator[Fault]:
    """Tell of names that are given more than once."""
    if isinstance(node, Doubled):
        for name in node.names:
            yield Fault(_path((*place, name)), f"{shortened(name)!r} is given more than once.")
    if len(place) < DEPTH and is_object(node):
        for name, member in node.items():
            yield from _doubled(member, (*place, name))


def _counted(node: object, depth: int) -> object:
    """Put a number that is none in the place of what nobody can compute with."""
    if isinstance(node, Uncountable):
        return math.nan
    if depth and is_object(node):
        return {name: _counted(member, depth - 1) for name, member in node.items()}
    if depth and is_array(node):
        return [_counted(item, depth - 1) for item in node]
    return node


def _unknown_question(sent: Mapping[str, Any]) -> Fault:
    word, known = sent.get("question"), tuple(QUESTION_REQUESTS)
    allowed = ", ".join(known)
    if word is None:
        return Fault("question", f"question is missing; it is one of {allowed}.", allowed=allowed)
    near = nearest(shortened(word), known) if isinstance(word, str) else None
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        "question",
        f"question must be one of {allowed}, not {said(word)}{hint}",
        received=received(word),
        allowed=allowed,
        suggestion=near,
    )


def _fault(model: type[AskedOfScenario], sent: object, error: ErrorDetails) -> Fault:
    place = [part for part in error["loc"] if part != "[key]"]
    path, value = _path(place), _at(sent, place)
    if path in {"input", "inputs"} and is_array(value) and model.__name__ == "BreakEvenRequest":
        return Fault(path, SEVERAL, received=received(value), allowed="the path of one input")
    if error["type"] == "extra_forbidden":
        return _unknown_member(model, place)
    schema = _schema_at(model, place)
    if error["type"] == "missing":
        return Fault(path, f"{path} is missing.", allowed=_allowed(schema))
    if error["type"] in {"too_short", "too_long"} and (is_array(value) or is_object(value)):
        allowed = _allowed(schema)
        detail = f"{path} must be {allowed}; {len(value)} were sent."
        return Fault(path, detail, received=len(value), allowed=allowed)
    must = COUNTABLE.removeprefix("must ")
    if not isinstance(value, Uncountable):
        must = OTHER_WORDS.get(error["type"], lambda _: f"be otherwise ({error['msg']})")(error)
    words = schema.get("enum", ())
    return Fault(
        path,
        f"{path} must {must}, not {said(value)}.",
        received=str(value) if isinstance(value, Uncountable) else received(value),
        allowed=_allowed(schema),
        unit=schema.get("x-unit"),
        suggestion=nearest(value, words) if words and isinstance(value, str) else None,
    )


def _unknown_member(model: type[AskedOfScenario], place: Place) -> Fault:
    *outer, name = place
    shown = shortened(str(name))
    known = list(_schema_at(model, outer).get("properties", {}))
    near = nearest(shown, known)
    where = f"in {_path(outer)}" if outer else "in this question"
    hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
    return Fault(
        _path((*outer, shown)),
        f"There is no {shown!r} {where}; {hint}",
        suggestion=_path((*outer, near)) if near else None,
    )


def _at(node: object, place: Place) -> object:
    """Return what was sent at a place."""
    for part in place:
        if is_object(node):
            node = node.get(str(part))
        elif is_array(node) and isinstance(part, int):
            node = node[part]
    return node


def _path(place: Place) -> str:
    """Return a place in words: names joined by dots, items of a list counted from 1."""
    return joined(str(part + 1) if isinstance(part, int) else shortened(part) for part in place)


@cache
def _described(model: type[AskedOfScenario]) -> Schema:
    return model.model_json_schema()


def _schema_at(model: type[AskedOfScenario], place: Place) -> Schema:
    """Return the description of a place in a question."""
    root = _described(model)
    schema = root
    for part in place:
        if isinstance(part, int):
            schema = schema.get("items", {})
        else:
            others = schema.get("additionalProperties", {})
            schema = schema.get("properties", {}).get(part, others if is_object(others) else {})
        schema = _settled(root, schema)
    return schema


def _settled(root: Schema, schema: Schema) -> Schema:
    """Follow references, and leave out that a member may be null."""
    kinds = [kind for kind in schema.get("anyOf", ()) if kind.get("type") != "null"]
    if kinds:
        schema = {**schema, **kinds[0]}
    if "$ref" in schema:
        schema = root["$defs"][schema["$ref"].rpartition("/")[2]]
    return schema


def _allowed(schema: Schema) -> str | None:
    """Return what can be sent, in words."""
    if "enum" in schema:
        return ", ".join(schema["enum"])
    limits = LIMITS.get(schema.get("type", ""))
    return limits(schema) if limits else None


def _number(schema: Schema) -> str:
    what = "a whole number" if schema["type"] == "integer" else "a number"
    if what == "a number" and schema["maximum"] >= LARGEST:
        return what
    return f"{what} from {schema['minimum']:,.16g} to {schema['maximum']:,.16g}"


def _text(schema: Schema) -> str:
    return f"text of at most {schema['maxLength']:,} characters"


def _list(schema: Schema) -> str:
    least, most = schema.get("minItems", 0), schema["maxItems"]
    return f"a list of {least}" if least == most else f"a list of {least} to {most}"


def _object(schema: Schema) -> str:
    if "maxProperties" in schema:
        return f"an object of at most {schema['maxProperties']} members"
    return f"an object with {', '.join(schema['properties'])}"


LIMITS: Mapping[str, Callable[[Schema], str]] = {
    "integer": _number,
    "number": _number,
    "string": _text,
    "array": _list,
    "object": _object,
}
"""How what can be sent is said, by the type."""


def _limit(name: str, before: str) -> Callable[[ErrorDetails], str]:
    def must(error: ErrorDetails) -> str:
        limit = error.get("ctx", {}).get(name)
        shown = f"{limit:,.16g}" if isinstance(limit, int | float) else str(limit)
        return f"{before} {shown}"

    return must


OTHER_WORDS: Mapping[str, Callable[[ErrorDetails], str]] = {
    **MUST,
    "float_type": lambda _: "be a number",
    "finite_number": lambda _: COUNTABLE.removeprefix("must "),
    "list_type": lambda _: "be a list",
    "model_type": lambda _: "be an object",
    "greater_than_equal": _limit("ge", "be at least"),
    "less_than_equal": _limit("le", "be at most"),
}
"""What a value must be, by pydantic's word for why it is not."""
