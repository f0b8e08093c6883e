"""A number, its unit and where it came from: given, a reference value, or worked."""

from collections.abc import Callable
from typing import Any, Final

from service.costing.errors import UnitMismatchError
from service.costing.formula import SIGNATURES, Signature
from service.costing.units import ANY, COUNT

Sources = str | tuple["Sources | None", ...]
"""The input path of a value, or one for each element of an array, nested as the array is."""

BY_DEFINITION: Final = "by definition"
"""Source of the noughts and ones that stand where nothing applies."""

NO_ARGUMENTS: Final[dict[str, Any]] = {}


class Figure:
    """A value with its unit and its origin.

    A figure either comes from outside and has ``sources``, the paths of its inputs (reference
    values stand under ``assumptions.``), or was worked and has ``signature``, ``arguments`` and
    ``parts``.
    """

    __slots__ = ("arguments", "axes", "parts", "signature", "sources", "unit", "value")

    def __init__(
        self,
        value: Any,  # noqa: ANN401 - a number, an array, a word or a date
        unit: str,
        *,
        sources: Sources | None = None,
        axes: tuple[str, ...] = (),
    ) -> None:
        self.value = value
        self.unit = unit
        self.sources = sources
        self.axes = axes
        self.signature: Signature | None = None
        self.arguments: dict[str, Figure] = NO_ARGUMENTS
        self.parts: tuple[Figure, ...] = ()


def constant(value: float, unit: str) -> Figure:
    """Return a nought or a one that stands where nothing applies."""
    return Figure(value, unit, sources=BY_DEFINITION)


class Ledger:
    """Applies formulas to figures and, if it keeps workings, remembers what each came from."""

    __slots__ = ("keeps_workings",)

    def __init__(self, *, keeps_workings: bool) -> None:
        self.keeps_workings = keeps_workings

    def work(self, function: Callable[..., Any], *parts: Figure, **arguments: Figure) -> Figure:
        """Apply a formula to figures.

        Raises
        ------
        UnitMismatchError
            If a figure's unit is not the one in the formula's signature.
        """
        signature = SIGNATURES[function]
        unit = signature.unit
        expected = signature.arguments
        values: dict[str, Any] = {}
        for name, argument in arguments.items():
            if argument.unit != expected[name]:
                unit = _fit(signature, name, expected[name], argument.unit, unit)
            values[name] = argument.value
        if parts:
            wanted = signature.many
            if wanted == ANY and unit == ANY:
                wanted = unit = parts[0].unit
            for part in parts:
                if part.unit != wanted:
                    unit = _fit(signature, "parts", wanted, part.unit, unit)
            value = function(*[part.value for part in parts], **values)
        else:
            value = function(**values)
        figure = Figure(value, unit)
        if self.keeps_workings:
            figure.signature = signature
            figure.arguments = arguments
            figure.parts = parts
        return figure


def _fit(signature: Signature, name: str, wanted: str | None, got: str, unit: str) -> str:
    """Return the unit of the result, now that an argument has a unit not written out."""
    if wanted == COUNT:
        return unit
    if wanted == ANY:
        if unit in {ANY, got} or signature.unit != ANY:
            return got if signature.unit == ANY else unit
        wanted = unit
    message = f"{signature.name} takes {name} in {wanted}, not in {got}"
    raise UnitMismatchError(message)
