"""A farm's own figures as a JSON document."""

from dataclasses import asdict
from typing import Any

from service.season.own_figures.records import OwnFigures


def own_figures_document(figures: OwnFigures) -> dict[str, Any]:
    """Return the figures as a document; nothing in it is rounded but the values of the patch."""
    return asdict(figures)
