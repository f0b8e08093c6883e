"""Settings in the address that carry a unit, as 590 kg, in the unit that their input has.

Dates are taken as people write them too. What no unit can mend stays as it was sent: whoever reads
the document says what belongs there.
"""

import re
from collections.abc import Mapping
from typing import Any

from service.costing.errors import Fault
from service.costing.input_tree import DATE, NUMBER, Leaf

CARRIES = re.compile(r"[-+]?(?:\d|\.\d).*[^\d\s.,].*")
"""A number with something behind it that is none."""

DIGIT = re.compile(r"\d")

USUAL_CURRENCY = "USD"
LONGEST = 60


def in_own_units(
    settings: Mapping[str, Any], document: Mapping[str, Any]
) -> tuple[dict[str, Any], list[Fault]]:
    """Return settings in the units of their inputs, and what is wrong with those that cannot be.

    Parameters
    ----------
    settings : mapping
        Value by path.
    document : mapping
        The document that they are for; it tells methods and kinds.
    """
    texts = {
        path: value
        for path, value in settings.items()
        if isinstance(value, str) and len(value) <= LONGEST and DIGIT.search(value)
    }
    if not texts:
        return dict(settings), []
    currency = str(settings.get("currency") or document.get("currency") or USUAL_CURRENCY)
    changed, faults = dict(settings), list[Fault]()
    units = OwnUnits(document, tuple(texts), currency)
    for path, text in texts.items():
        try:
            changed[path] = units.taken(path, text)
        except ValueError as error:
            del changed[path]
            faults.append(Fault(path, f"{path} must be a number; {error}.", received=text))
    return changed, faults


class OwnUnits:
    """The units of some inputs of a document; found once, however many values are taken."""

    def __init__(
        self, document: Mapping[str, Any], paths: tuple[str, ...], currency: str = ""
    ) -> None:
        """Find how the inputs are declared.

        Parameters
        ----------
        document : mapping
            The document that they are in; it tells methods and kinds.
        paths : tuple of str
            Of the inputs.
        currency : str
            Of money without one; the document's, if not given.
        """
        self._currency = currency or str(document.get("currency") or USUAL_CURRENCY)
        self._shapes = _shapes_of(document, paths)

    def taken(self, path: str, text: str) -> Any:  # noqa: ANN401 - as JSON has it
        """Return a text as a value in the unit of its input; itself where it is no such thing.

        Raises
        ------
        ValueError
            If it is a number with a unit that cannot be that of the input.
        """
        leaf = self._shapes.get(path)
        if leaf is None:
            return text
        if leaf.sort == NUMBER and CARRIES.fullmatch(text.strip()):
            return _taken(leaf, text, self._currency)
        if leaf.sort == DATE:
            try:
                return _taken(leaf, text, self._currency)
            except ValueError:
                return text
        return text


def _taken(leaf: Leaf, text: str, currency: str) -> Any:  # noqa: ANN401 - as JSON has it
    from service.reports.answer_sheet.entered import (  # noqa: PLC0415 - few settings need it
        Manner,
        value_of,
    )

    return value_of(leaf, text, "", Manner(currency, typed=False))


def _shapes_of(document: Mapping[str, Any], paths: tuple[str, ...]) -> dict[str, Leaf]:
    """Return how the inputs at some paths are declared; those that there are not are left out."""
    from service.reports.answer_sheet.addresses import (  # noqa: PLC0415 - few settings need it
        UnknownAddressError,
        address_of,
        held,
        shape_at,
    )
    from service.reports.answer_sheet.entered import of_assumption  # noqa: PLC0415

    try:
        tags = {one.address: one.value for one in held(document)}
    except UnknownAddressError:
        return {}
    found: dict[str, Leaf] = {}
    for path in paths:
        address = address_of(path)
        try:
            shape = shape_at(address, tags)
        except UnknownAddressError:
            continue
        if isinstance(shape, Leaf):
            is_assumption = address[0] == "assumptions"
            found[path] = of_assumption(shape, address[-1]) if is_assumption else shape
    return found
