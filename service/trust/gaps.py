"""What no source could check, and published cases that could not be rebuilt."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Unchecked:
    """Something that no source could check.

    Attributes
    ----------
    what : str
        What it is.
    why : str
        Why no source serves.
    instead : str
        What stands in its place, if anything does.
    """

    what: str
    why: str
    instead: str = ""


@dataclass(frozen=True, slots=True)
class NotRebuilt:
    """A published case, or part of one, that could not be put in.

    Attributes
    ----------
    key : str
        Short name, as ``R17``.
    what : str
        Whose it is and what it says.
    why : str
        What is missing.
    """

    key: str
    what: str
    why: str


@cache
def unchecked() -> tuple[Unchecked, ...]:
    """Read what no source could check."""
    return tuple(Unchecked(**row) for row in _rows("unchecked.toml"))


@cache
def not_rebuilt() -> tuple[NotRebuilt, ...]:
    """Read the cases that could not be rebuilt."""
    return tuple(NotRebuilt(**row) for row in _rows("not_rebuilt.toml"))


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("service.trust") / name).read_text("utf-8")
    return tomllib.loads(text).get("item", [])
