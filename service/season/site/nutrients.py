"""Nitrogen and phosphorus of the hay by the field on which they stay."""

from dataclasses import dataclass

from service.costing.averages import mean_of, number
from service.costing.triggers.facts import Facts
from service.costing.triggers.site_uses import field_of_place
from service.costing.units import NUTRIENTS

PHOSPHORUS, OXYGEN = 30.974, 15.999
"""Standard atomic weights."""

PHOSPHORUS_IN_P2O5 = 2 * PHOSPHORUS / (2 * PHOSPHORUS + 5 * OXYGEN)


@dataclass(frozen=True, slots=True)
class Brought:
    """Nutrients that hay brings [lb]."""

    nitrogen_lb: float = 0.0
    p2o5_lb: float = 0.0

    @property
    def phosphorus_lb(self) -> float:
        """Elemental phosphorus [lb]."""
        return self.p2o5_lb * PHOSPHORUS_IN_P2O5

    def __add__(self, other: "Brought") -> "Brought":
        """Return both together."""
        return Brought(self.nitrogen_lb + other.nitrogen_lb, self.p2o5_lb + other.p2o5_lb)

    def share(self, fraction: float) -> "Brought":
        """Return a share of it."""
        return Brought(self.nitrogen_lb * fraction, self.p2o5_lb * fraction)


@dataclass(frozen=True, slots=True)
class WhereItStays:
    """All nutrients of the hay, once."""

    by_field: dict[str, Brought]
    collected: Brought
    """Taken off floors with the manure."""
    no_field: Brought
    """On floors whose field is not given, as far as it is not taken off."""


def where_it_stays(facts: Facts) -> WhereItStays:
    """Return what the hay of a mean winter brings, by the field on which it stays.

    Of what falls on a floor the share that is taken off (``manure.collected_fraction``) is apart:
    where it is spread is not known. The rest is left at the field of the floor.
    """
    by_field: dict[str, Brought] = {}
    collected = no_field = Brought()
    for place, figure in facts.system.fertility.by_place:
        means = mean_of(facts.costing.winters, figure)
        fallen = Brought(
            number(means[NUTRIENTS.index("n")]), number(means[NUTRIENTS.index("p2o5")])
        )
        if place.structure is not None:
            key = f"manure.collected_fraction.{place.word}"
            fraction = number(facts.costing.case.reference(key).value)
            collected += fallen.share(fraction)
            fallen = fallen.share(1 - fraction)
        field = field_of_place(facts, place)
        if field is None:
            no_field += fallen
        elif fallen != Brought():
            by_field[field] = by_field.get(field, Brought()) + fallen
    return WhereItStays(by_field, collected, no_field)
