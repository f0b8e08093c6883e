"""Settings in the address: ``set.<path>=value``, each value as the input at its path has it."""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from starlette.requests import Request

from service.costing.input_catalog import inputs
from service.costing.input_tree import DATE, NAME, NAMES, NUMBERS, TEXT, WORDS
from service.costing.overrides import ASSUMPTIONS
from service.web.costing_parameters import PARAMETERS, REVISION, SETTING, TOKEN, unknown_parameter
from service.web.identifiers import MOST_REVISIONS
from service.web.leaf_rules import received, shortened
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError

DEFAULT = "default"
WORDS_OF_JSON: Mapping[str, bool] = {"true": True, "false": False}
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")
WITH_COMMA = re.compile(r"[-+]?\d[\d.]*,[\d.,]*")
REVISION_NUMBER = re.compile(r"[1-9]\d{0,9}")
LISTS = frozenset({WORDS, NAMES})
NUMBER_LISTS = frozenset({NUMBERS})
TEXTS = frozenset({TEXT, NAME, DATE})
LARGEST = 1e300
"""Larger numbers are no input of a farm, and near what a float cannot hold."""


@dataclass
class CostingQuery:
    """Which revision is to be costed, and with which inputs changed."""

    revision: int | None = None
    settings: dict[str, Any] = field(default_factory=dict[str, Any])
    others: dict[str, str] = field(default_factory=dict[str, str])
    """Whatever else the address takes, by name, as sent."""


@dataclass
class _Reader:
    others: Sequence[str]
    query: CostingQuery = field(default_factory=CostingQuery)
    errors: list[dict[str, Any]] = field(default_factory=list[dict[str, Any]])

    def take(self, name: str, text: str) -> None:
        if name == TOKEN:
            return
        if name == REVISION:
            self._revision(text)
        elif name.startswith(SETTING):
            self._setting(name, name.removeprefix(SETTING), text)
        elif name not in self.others:
            self.errors.append(unknown_parameter(name, (*self.others, *PARAMETERS)))
        elif name in self.query.others:
            self._object(name, f"{name} is given more than once.")
        else:
            self.query.others[name] = text

    def _revision(self, text: str) -> None:
        if self.query.revision is not None:
            self._object(REVISION, "revision is given more than once.")
        elif REVISION_NUMBER.fullmatch(text) and int(text) <= MOST_REVISIONS:
            self.query.revision = int(text)
        else:
            self._object(REVISION, "revision must be a whole number, from 1.", text)

    def _setting(self, name: str, path: str, text: str) -> None:
        if path in self.query.settings:
            self._object(name, f"{shortened(path)!r} is set more than once.")
        elif not text.strip():
            detail = f"{shortened(name)} is empty; send a value, or {DEFAULT}."
            self._object(name, detail, text)
        elif _sorts(path).isdisjoint(LISTS | NUMBER_LISTS | TEXTS) and WITH_COMMA.fullmatch(text):
            detail = f"{shortened(name)} must be a number with a decimal point; use a decimal point"
            self._object(name, f"{detail}, and no comma.", text)
        else:
            self.query.settings[path] = as_json(path, text)

    def _object(self, name: str, detail: str, text: str | None = None) -> None:
        error: dict[str, Any] = {"input": shortened(name), "detail": detail}
        if text:
            error["received"] = received(text)
        self.errors.append(error)


def costing_query(request: Request, others: Sequence[str] = ()) -> CostingQuery:
    """Read which revision is to be costed, and with which inputs changed.

    Parameters
    ----------
    request : Request
        Has them in its address.
    others : sequence of str
        Names of what else the address takes; their values are not looked at here.

    Raises
    ------
    ProblemError
        If a parameter is unknown or not understood; names every one.
    """
    reader = _Reader(others)
    for name, text in request.query_params.multi_items():
        reader.take(name, text)
    if reader.errors:
        raise ProblemError(INVALID_PARAMETER, errors=reader.errors)
    return reader.query


def as_json(path: str, text: str) -> Any:  # noqa: ANN401 - any JSON value
    """Return a value that was written as text as JSON has it.

    Parameters
    ----------
    path : str
        Of the input that it is for; it tells what sort of value is meant.
    text : str
        As written; ``default`` goes back to the default.
    """
    sorts = _sorts(path)
    if text == DEFAULT:
        return None
    if sorts and sorts <= LISTS | NUMBER_LISTS:
        parts = text.split(",")
        return parts if sorts <= LISTS else [_number_or_text(part) for part in parts]
    if sorts and sorts <= TEXTS:
        return text
    if text in WORDS_OF_JSON:
        return WORDS_OF_JSON[text]
    return _number_or_text(text)


def _number_or_text(text: str) -> float | str:
    return _number(text) if NUMBER.fullmatch(text) else text


def _number(text: str) -> float | str:
    """Return a number; the text itself where no float can hold it, to be refused as such."""
    try:
        value = json.loads(text)
    except ValueError:
        return text
    return value if abs(value) <= LARGEST else text


def _sorts(path: str) -> frozenset[str]:
    """Return the sorts of value that an input of this name can have, as far as they are known."""
    if path.startswith(f"{ASSUMPTIONS}."):
        return frozenset()
    known = _sorts_by_ending()
    found = next((ending for ending in _endings(path) if ending in known), None)
    return frozenset() if found is None else known[found]


@cache
def _sorts_by_ending() -> Mapping[str, frozenset[str]]:
    """Return them by the last two names, and by the last, which may mean several things."""
    found: dict[str, set[str]] = {}
    for one in inputs():
        for ending in _endings(one.path):
            found.setdefault(ending, set()).add(one.sort)
    return {ending: frozenset(sorts) for ending, sorts in found.items()}


def _endings(path: str) -> tuple[str, str]:
    names = path.split(".")
    return ".".join(names[-2:]), names[-1]
