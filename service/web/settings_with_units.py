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
    shapes = _shapes_of(document, tuple(texts))
    for path, text in texts.items():
        leaf = shapes.get(path)
        if leaf is None:
            continue
        if leaf.sort == NUMBER and CARRIES.fullmatch(text.strip()):
            try:
                changed[path] = _taken(leaf, text, currency)
            except ValueError as error:
                del changed[path]
                faults.append(Fault(path, f"{path} must be a number; {error}.", received=text))
        elif leaf.sort == DATE:
            try:
                changed[path] = _taken(leaf, text, currency)
            except ValueError:
                continue
    return changed, faults


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
