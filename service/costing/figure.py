"""A number, its unit and where it came from: given, a reference value, or worked."""

from collections.abc import Callable
from typing import Any

from service.costing.errors import UnitMismatchError
from service.costing.formula import SIGNATURES, Signature
from service.costing.units import ANY, COUNT, Unit

Sources = str | tuple["Sources | None", ...]
"""The input path of a value, or one for each element of an array, nested as the array is."""


class Figure:
    """A value with its unit and its origin.

    A figure either comes from outside and has ``sources``, the paths of its inputs (reference
    values stand under ``assumptions.``), or was worked and has ``signature`` and ``arguments``.
    """

    __slots__ = ("arguments", "parts", "signature", "sources", "unit", "value")

    def __init__(
        self,
        value: Any,  # noqa: ANN401 - a number, an array, a word or a date
        unit: str,
        *,
        axis: str = "state",
        sources: Sources | None = None,
    ) -> None:
        self.value = value
        self.unit = Unit(unit, axis)
        self.sources = sources
        self.signature: Signature | None = None
        self.arguments: dict[str, Figure] = {}
        self.parts: tuple[Figure, ...] = ()


class Ledger:
    """Applies formulas to figures and, if it keeps workings, remembers what each came from."""

    __slots__ = ("keeps_workings",)

    def __init__(self, *, keeps_workings: bool) -> None:
        self.keeps_workings = keeps_workings

    def work(
        self, function: Callable[..., Any], *parts: Figure, **arguments: Figure
    ) -> Figure:
        """Apply a formula to figures.

        Raises
        ------
        UnitMismatchError
            If a figure's unit is not the one in the formula's signature.
        """
        signature = SIGNATURES[function]
        unit = signature.result
        free: Unit | None = None
        expected = signature.arguments
        for name, argument in arguments.items():
            wanted = expected[name].name
            if wanted is ANY:
                free = _same(free, argument.unit, signature)
            elif wanted is not COUNT and wanted != argument.unit.name:
                raise _mismatch(signature, name, wanted, argument.unit.name)
        for part in parts:
            if signature.many is None or signature.many.name is not ANY:
                wanted = signature.many.name if signature.many else "nothing"
                if wanted != part.unit.name:
                    raise _mismatch(signature, "parts", wanted, part.unit.name)
            else:
                free = _same(free, part.unit, signature)
        figure = Figure.__new__(Figure)
        figure.value = function(
            *[part.value for part in parts],
            **{name: argument.value for name, argument in arguments.items()},
        )
        if unit.name is ANY and free is not None:
            unit = Unit(free.name, unit.axis if unit.axis != "state" else free.axis)
        figure.unit = unit
        figure.sources = None
        if self.keeps_workings:
            figure.signature = signature
            figure.arguments = arguments
            figure.parts = parts
        else:
            figure.signature = None
            figure.arguments = {}
            figure.parts = ()
        return figure


def _same(free: Unit | None, unit: Unit, signature: Signature) -> Unit:
    if free is not None and free.name != unit.name:
        raise _mismatch(signature, "parts", free.name, unit.name)
    return unit


def _mismatch(
    signature: Signature, argument: str, wanted: str, got: str
) -> UnitMismatchError:
    message = f"{signature.name} takes {argument} in {wanted}, not in {got}"
    return UnitMismatchError(message)
