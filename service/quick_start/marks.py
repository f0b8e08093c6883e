"""Where a value of the document came from, said beside the value until it is put in its place."""

from dataclasses import dataclass
from typing import Any

from service.quick_start.figures import End, StandIn, stand_in

GIVEN, WORKED, REFERENCE = "given", "worked", "reference"


@dataclass(frozen=True, slots=True)
class Given:
    """A value as the farm gave it."""

    value: Any


@dataclass(frozen=True, slots=True)
class Worked:
    """A value worked from answers; ``how`` is a sentence."""

    value: Any
    how: str


@dataclass(frozen=True, slots=True)
class Guessed:
    """A value taken because nobody gave it.

    ``value``, ``low`` and ``high`` stand in the place of those of the figure where they hang on
    other answers; ``unit`` too.
    """

    figure: StandIn
    question: str
    value: Any
    low: End | None
    high: End | None
    unit: str


Mark = Given | Worked | Guessed


def guess(
    name: str, question: str, *, scale: float = 1.0, unit: str | None = None, most: float = 1e9
) -> Guessed:
    """Return the mark of a value taken from the figures.

    Parameters
    ----------
    name : str
        Of the figure.
    question : str
        The question that would have told it.
    scale : float
        What a number is multiplied by.
    unit : str, optional
        Unit of the result, where scaling changes it.
    most : float
        No number is larger than that.
    """
    figure = stand_in(name)

    def scaled(value: End | None) -> End | None:
        if not isinstance(value, int | float):
            return value
        result = min(value * scale, most)
        return round(result) if figure.whole else float(f"{result:.6g}")

    return Guessed(
        figure,
        question,
        value=scaled(figure.usual),
        low=scaled(figure.low),
        high=scaled(figure.high),
        unit=unit or figure.unit,
    )


def value_of(mark: Any) -> Any:  # noqa: ANN401 - a mark, or a plain value
    """Return the value that a mark is beside."""
    return mark.value if isinstance(mark, Given | Worked | Guessed) else mark
