"""Figures for designers, taken into lines of an annex."""

from service.season.planning import Planned
from service.web.annexes.annex import Item


def taken(figure: Planned, line: str, title: str, times: float, unit: str, about: str = "") -> Item:
    """Return a figure so many times over, with its range."""
    return Item(
        line=line,
        title=title,
        value=figure.usual * times,
        unit=unit,
        origin="worked",
        about=about,
        low=None if figure.low is None else figure.low * times,
        usual=figure.usual * times,
        high=None if figure.high is None else figure.high * times,
        source=figure.source,
        where=figure.where,
        mark=figure.mark,
    )
