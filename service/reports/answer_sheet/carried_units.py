"""Values with a unit, as 590 kg or 4 t/ha, in the unit that an input has."""

import re
from dataclasses import dataclass
from fractions import Fraction

from service.reports.answer_sheet.unit_table import (
    LEFT_OUT,
    OTHER_NAMES,
    SIZES,
    TEMPERATURE,
)

NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?")
WITH_COMMA = re.compile(r"[-+]?\d[\d.]*,[\d.,]*")
LONGEST = 60
"""A number with its unit has no more characters."""

FREEZING, DEGREES_PER_DEGREE = 32, Fraction(9, 5)
"""The Fahrenheit scale against that of Celsius (NIST Special Publication 811, Appendix B)."""

MOST_EXACT = 2**53
"""Up to here every whole number has a float of its own (IEEE 754, binary64)."""

CODE = re.compile(r"[A-Z]{3}")
"""Form of a currency's code (ISO 4217)."""

CURRENCY = "currency"
"""What units call money; people read the code in its place."""


class NotAMeasureError(ValueError):
    """A text is no number, or its unit does not measure what the input is; says what to change."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One unit of a unit with several, as the pounds of dry matter in lb DM/acre."""

    name: str
    measures: str
    size: Fraction
    of: str = ""


def measured(text: str, own: str, currency: str) -> float:
    """Return a number with or without a unit, in the input's own unit.

    Parameters
    ----------
    text : str
        As 590 kg.
    own : str
        The unit that the input has; empty or ``none`` where it has none.
    currency : str
        Code of the scenario's currency.

    Raises
    ------
    NotAMeasureError
        If it is no number, or the unit does not fit.
    """
    number, unit = split(text)
    return converted(number, unit, own, currency) if unit else simplest(float(number))


def split(text: str) -> tuple[Fraction, str]:
    """Return the number and the unit behind it, which may be empty.

    Raises
    ------
    NotAMeasureError
        If the text does not begin with a number.
    """
    stripped = text.strip()
    if WITH_COMMA.match(stripped):
        message = "use a decimal point, and no comma"
        raise NotAMeasureError(message)
    found = NUMBER.match(stripped) if len(stripped) <= LONGEST else None
    if found is None:
        message = "a number belongs here"
        raise NotAMeasureError(message)
    return Fraction(found.group()), stripped[found.end() :].strip()


def converted(number: Fraction, unit: str, own: str, currency: str) -> float:
    """Return a number of one unit in another.

    Raises
    ------
    NotAMeasureError
        If the two do not measure the same.
    """
    if said_alike(unit, own, currency):
        return simplest(float(number))
    carried, wanted = _parts(unit, currency), _parts(own, currency)
    if [part.measures for part in carried + wanted] == [TEMPERATURE, TEMPERATURE]:
        celsius = carried[0].name == "c"
        return simplest(float(number * DEGREES_PER_DEGREE + FREEZING if celsius else number))
    given, rest = wanted[: len(carried)], wanted[len(carried) :]
    fits = len(given) == len(carried) and all(map(_same, carried, given))
    if not fits or any(part.name not in LEFT_OUT for part in rest):
        message = f"{unit!r} is no unit of this; it is in {shown(own, currency) or 'no unit'}"
        raise NotAMeasureError(message)
    factor = Fraction(1)
    for position, (one, other) in enumerate(zip(carried, given, strict=True)):
        ratio = one.size / other.size
        factor = factor / ratio if position else factor * ratio
    return simplest(float(number * factor))


def simplest(number: float) -> float:
    """Return a whole number without a decimal point."""
    return int(number) if number.is_integer() and abs(number) <= MOST_EXACT else number


def said_alike(unit: str, own: str, currency: str) -> bool:
    """Whether a unit is the input's own, perhaps in other letters or with the currency's code."""
    return _spelled(unit, currency) == _spelled(own, currency)


def shown(unit: str, currency: str) -> str:
    """Return a unit as people read it, with the code of the currency."""
    return "" if unit == "none" else unit.replace(CURRENCY, currency)


def code_of(currency: object, otherwise: str) -> str:
    """Return the code of a currency, or something else where there is none."""
    code = currency.strip() if isinstance(currency, str) else ""
    return code if CODE.fullmatch(code) else otherwise


def _spelled(unit: str, currency: str) -> str:
    text = "" if unit == "none" else " ".join(unit.lower().split())
    return text.replace(currency.lower(), CURRENCY) if currency else text


def _parts(unit: str, currency: str) -> list[_Part]:
    text = unit.lower().replace("²", "2").replace("³", "3").replace(" per ", "/")
    code = currency.lower()
    return [_part(" ".join(word.split()), code) for word in text.split("/")]


def _part(text: str, code: str) -> _Part:
    if text in {code, CURRENCY}:
        return _Part(CURRENCY, CURRENCY, Fraction(1))
    name, of = OTHER_NAMES.get(text, text), ""
    if name in {"c", "f"}:
        return _Part(name, TEMPERATURE, Fraction(1))
    if name not in SIZES:
        first, _, last = text.partition(" ")
        first = OTHER_NAMES.get(first, first)
        name, of = (first, last) if first in SIZES else (name, "")
    measures, size = SIZES.get(name, (name, Fraction(1)))
    return _Part(name, measures, size, of)


def _same(carried: _Part, own: _Part) -> bool:
    """Whether two units measure the same; dry matter goes without saying where it is asked for."""
    return carried.measures == own.measures and carried.of in {"", own.of}
