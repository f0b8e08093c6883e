"""The pictures of the page, each as SVG in the page itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from service.reports.pictures import PICTURES, picture
from service.web.pages.hay_price import HayPrices

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ShownPicture:
    """A picture ready to stand in a page."""

    name: str
    title: str
    svg: Markup


def pictures_of(costing: Document, hay: HayPrices | None) -> list[ShownPicture]:
    """Return the pictures in the order of their use."""
    asked: list[tuple[str, Document | None]] = [
        ("cost_by_group", None),
        ("winters", None),
        ("bale_flow", None),
        ("acres_to_fix", None),
    ]
    if costing["winter"]["winters"] == 1:
        asked.remove(("winters", None))
    if hay is not None:
        asked.insert(-1, ("cost_against_hay_price", hay.for_picture()))
    return [
        ShownPicture(
            name,
            PICTURES[name].title,
            Markup(picture(name, costing, more)),  # noqa: S704 - drawn here, its words escaped
        )
        for name, more in asked
    ]
