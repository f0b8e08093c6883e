"""Formulas that can be named, checked for units, shown in words and worked again."""

from collections.abc import Callable
from dataclasses import dataclass
from inspect import signature
from typing import Any, TypeVar, get_type_hints

from service.costing.units import Unit

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Signature:
    """What the engine knows of a formula: name, words, and the unit of each argument."""

    name: str
    words: str
    arguments: dict[str, str]
    many: str | None
    unit: str
    axes: tuple[str, ...]
    function: Callable[..., Any]


FORMULAS: dict[str, Signature] = {}
"""Every formula by name; filled as the formula modules are imported."""

SIGNATURES: dict[Callable[..., Any], Signature] = {}
"""The same by function."""


def formula(words: str) -> Callable[[F], F]:
    """Register a pure function as a formula; ``words`` is what a person reads in its place.

    Every argument and the result must be annotated with a `Unit`.
    """

    def register(function: F) -> F:
        hints = get_type_hints(function, include_extras=True)
        units: dict[str, Unit] = {name: hint.__metadata__[0] for name, hint in hints.items()}
        result = units.pop("return")
        many = next(
            (
                units.pop(parameter.name).name
                for parameter in signature(function).parameters.values()
                if parameter.kind is parameter.VAR_POSITIONAL
            ),
            None,
        )
        name = function.__name__
        if name in FORMULAS:
            message = f"two formulas are called {name}"
            raise ValueError(message)
        FORMULAS[name] = SIGNATURES[function] = Signature(
            name=name,
            words=words,
            arguments={argument: unit.name for argument, unit in units.items()},
            many=many,
            unit=result.name,
            axes=result.axes,
            function=function,
        )
        return function

    return register
