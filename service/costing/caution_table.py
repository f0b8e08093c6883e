"""The table of cautions: what is said, when, and where it was read."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

MUST = "must"
SHOULD = "should"
RANKS = (MUST, SHOULD)


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution of safety, health or law.

    ``trigger`` and ``sentence`` may hold names in braces that are filled in from a costing.
    ``limit`` (in ``unit``) and ``low_growth`` are the numbers that decide; ``kinds`` of structure,
    ``presentations`` and ``stores`` of hay are the words that decide.
    """

    key: str
    rank: str
    trigger: str
    sentence: str
    source: str
    where: str
    limit: float = 0.0
    unit: str = ""
    low_growth: float = 0.0
    kinds: tuple[str, ...] = ()
    presentations: tuple[str, ...] = ()
    stores: tuple[str, ...] = ()


@cache
def caution_table() -> dict[str, Caution]:
    """Read the cautions, the musts first."""
    text = (files("service.costing.reference") / "cautions.toml").read_text("utf-8")
    cautions = [
        Caution(
            key=key,
            rank=row["rank"],
            trigger=row["trigger"],
            sentence=row["sentence"],
            source=row["source"],
            where=row["where"],
            limit=float(row.get("limit", 0)),
            unit=row.get("unit", ""),
            low_growth=float(row.get("low_growth", 0)),
            kinds=tuple(row.get("kinds", ())),
            presentations=tuple(row.get("presentations", ())),
            stores=tuple(row.get("stores", ())),
        )
        for key, row in tomllib.loads(text).items()
    ]
    return {
        caution.key: caution
        for caution in sorted(cautions, key=lambda item: RANKS.index(item.rank))
    }
