"""Cautions of safety, health and law that a system triggers."""

from typing import Any

from service.costing.caution_table import Caution, caution_table
from service.costing.engine import Costing, SystemCosting
from service.costing.triggers import TRIGGERS
from service.costing.triggers.facts import Facts

DISCLAIMER = (
    "Planning figures from the answers given here; not an engineering design, a permit, "
    "a grant decision, veterinary or tax advice."
)
"""Stands on every page."""


def cautions_catalog() -> list[Caution]:
    """Return every caution there is, the musts first."""
    return list(caution_table().values())


def cautions_of(costing: Costing, system: SystemCosting) -> list[dict[str, Any]]:
    """Return the cautions that a system triggers, the musts first.

    Each has its key, rank (``must`` or ``should``), what triggered it, the sentence to be shown,
    the key of its source, and where in it.
    """
    facts = Facts(costing, system)
    found: list[dict[str, Any]] = []
    for key, caution in caution_table().items():
        words = TRIGGERS[key](facts, caution)
        if words is None:
            continue
        words = {"limit": f"{caution.limit:g}", **words}
        found.append(
            {
                "caution": key,
                "rank": caution.rank,
                "trigger": _filled(caution.trigger, words),
                "sentence": _filled(caution.sentence, words),
                "source": caution.source,
                "where": caution.where,
            }
        )
    return found


def _filled(text: str, words: dict[str, str]) -> str:
    filled = " ".join(text.format_map(words).split())
    return filled[:1].upper() + filled[1:]
