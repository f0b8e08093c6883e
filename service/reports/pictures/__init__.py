"""Pictures of a costing as SVG, each told in sentences of numbers too."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from service.costing.errors import Fault, InputError, nearest
from service.reports.pictures import (
    acres_to_fix,
    bale_flow,
    cash_by_year,
    cost_against_hay_price,
    cost_by_group,
    swings,
    winters,
)
from service.reports.pictures.sheet import Sheet
from service.reports.pictures.wording import plain

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture: its title, what it needs beside a costing, and how it is drawn."""

    title: str
    needs: str
    """A sentence on what is handed over beside the costing; empty if nothing is."""
    draw: Callable[[Sheet, Document, Document], str]
    takes_system: bool = False
    """Whether it shows the one system that ``system`` names."""


_ONE = "A system's key as system; without it {}."

PICTURES: Mapping[str, Picture] = MappingProxyType(
    {
        "cost_by_group": Picture("What a year costs", "", cost_by_group.draw),
        "winters": Picture("Winters of the record", "", winters.draw),
        "bale_flow": Picture(
            "Where the bales go",
            _ONE.format("the baseline"),
            bale_flow.draw,
            takes_system=True,
        ),
        "cost_against_hay_price": Picture(
            "Cost by the price of hay",
            "Prices of hay, costs of each system at them, and crossings.",
            cost_against_hay_price.draw,
        ),
        "acres_to_fix": Picture("Acres to repair in spring", "", acres_to_fix.draw),
        "cash_by_year": Picture(
            "Cash by year",
            _ONE.format("the best system"),
            cash_by_year.draw,
            takes_system=True,
        ),
        "swings": Picture(
            "What moves the answer", "The answer of a sensitivity question.", swings.draw
        ),
    }
)
"""The pictures by name."""


def picture(name: str, body: Document, more: Document | None = None) -> str:
    """Return a picture of a costing as SVG.

    Parameters
    ----------
    name : str
        One of `PICTURES`.
    body : mapping
        The costing as a document.
    more : mapping or None
        What the picture needs beside it.

    Returns
    -------
    str
        The same text for the same costing, without anything that is loaded from elsewhere.

    Raises
    ------
    InputError
        If there is no such picture or system, or something that it needs is missing or wrong.
    """
    found = PICTURES.get(name)
    if found is None:
        raise InputError(
            [
                Fault(
                    "picture",
                    "There is no picture of that name.",
                    received=name,
                    allowed=", ".join(PICTURES),
                    suggestion=nearest(name, list(PICTURES)),
                )
            ]
        )
    sheet = Sheet(name, found.title)
    return sheet.finished(plain(found.draw(sheet, body, more or {})))
