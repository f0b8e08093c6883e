"""What is built or bought to last, and what goes into a pad before a design says so."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.costing.averages import number
from service.costing.builder import Built
from service.costing.limits import known
from service.costing.structures import Structure
from service.costing.triggers.facts import is_new
from service.costing.units import INCHES_PER_FOOT, NEGLIGIBLE, POUNDS_PER_TON
from service.costing.wording import amount, listed, named, sentence, spoken
from service.season.figures import season_figures
from service.season.plan.priced import PriceOrigin, days_ahead, mark_of_table
from service.season.plan.records import Material
from service.season.planning import (
    CUBIC_FEET_PER_CUBIC_YARD,
    SQUARE_FEET_PER_SQUARE_YARD,
    planned,
    practice_standards,
)
from service.season.subject import SeasonSubject

BOUGHT = frozenset({"equipment", "feeder", "fence"})
"""Kinds that are bought and set out, not built."""
EXTRAS = {
    "contingency_fraction": "contingency",
    "engineering_cost": "engineering",
    "permit_cost": "permits",
    "power_and_water_cost": "power and water",
}
IN_THE_PRICE = "Paid for in the price of the pad; a design decides."


@dataclass(frozen=True, slots=True)
class Works:
    """What the works of a structure cost, by whose word, and that in words."""

    cost: float | None
    """[currency]."""
    origin: PriceOrigin
    words: str


def structures(subject: SeasonSubject) -> Iterator[Material]:
    """Yield each new structure, or the addition to one, and what goes into a pad."""
    for item in subject.costed.construction.built:
        if is_new(item):
            whole = _whole(subject, item)
            yield whole
            yield from _inside(item.structure.kind, whole)


def _whole(subject: SeasonSubject, item: Built) -> Material:
    structure = item.structure
    quantity, unit, words = _size(item)
    works = _works(subject, item)
    standards = practice_standards()
    practices = standards.of("composted_pack" if structure.setting("composted") else structure.kind)
    return Material(
        key=f"structures.{item.key}",
        title=named(structure.title, item.key),
        quantity=quantity,
        unit=unit,
        price=None if works.cost is None else works.cost / quantity,
        cost=works.cost,
        price_origin=works.origin,
        quote_date=structure.quote_date if works.origin == "quote" else None,
        for_what=sentence(spoken(structure.kind)),
        needed_by=days_ahead(subject.season.first_day, _lead(structure.kind)),
        practices=practices,
        practice_source=standards.cited if practices else "",
        note=" ".join(part for part in (words, works.words, _extras(structure)) if part),
    )


def _lead(kind: str) -> str:
    if kind in BOUGHT:
        return "lead.buy_feeders"
    own = f"finish.{kind}"
    return own if own in season_figures() else "lead.finish_building"


def _size(item: Built) -> tuple[float, str, str]:
    """Return how much of a structure is new, its unit, and how that came about."""
    structure, whole = item.structure, number(item.size.value)
    unit = structure.size_unit
    there = structure.existing_size or 0.0
    unsized = item.size_by_rule is None and structure.given_size is None
    if unsized or whole - there <= NEGLIGIBLE:
        return 1.0, "piece", "No size is given: counted as one piece."
    words = "" if structure.given_size is not None else "Size by rule, for this herd and plan."
    if there:
        words = f"{words} {amount(whole)} {unit} in all, less {amount(there)} there now.".strip()
    return whole - there, unit, words


def _works(subject: SeasonSubject, item: Built) -> Works:
    structure = item.structure
    size = number(item.size.value) - (structure.existing_size or 0.0)
    if structure.price is not None:
        if structure.quote_date is None:
            return Works(structure.price, "given", "The price given for the whole, by its size.")
        words = f"A quote of {structure.quote_date} for the whole, by its size."
        return Works(structure.price, "quote", words)
    is_addition = item.existing is not None
    unit_key, base_key = (f"structure.{structure.kind}.{name}_cost" for name in ("unit", "base"))
    per_unit = known(subject.costing.case, unit_key)
    once = structure.tie_in_cost if is_addition else known(subject.costing.case, base_key)
    if per_unit is None or once is None:
        return Works(None, "none", "No price is known.")
    own = subject.scenario.assumptions
    is_own = unit_key in own and (is_addition or base_key in own)
    words = (
        f"{amount(per_unit)} a {structure.size_unit} and {amount(once)} once, spread over its size "
        f"({mark_of_table(subject, unit_key)}): ask for two quotes."
    )
    return Works(per_unit * size + once, "given" if is_own else "reference", words)


def _extras(structure: Structure) -> str:
    left_out = [word for name, word in EXTRAS.items() if getattr(structure, name)]
    return f"Not in it: {listed(left_out)}." if left_out else ""


def _inside(kind: str, whole: Material) -> Iterator[Material]:
    """Yield rock, fabric and concrete of a pad, whose price holds them."""
    if whole.unit != "sq ft":
        return
    rock, lap, deep = planned("rock"), planned("fabric_lap"), planned("concrete")
    if kind == "gravel_pad" and rock is not None and lap is not None:
        words = f"At {amount(rock.usual)} {rock.unit} ({rock.mark})."
        tons = rock.usual * whole.quantity / POUNDS_PER_TON
        yield _part(whole, "rock", tons, "ton", words)
        words = (
            f"Before laps of at least {amount(lap.usual)} {lap.unit} ({lap.source}; {lap.mark})."
        )
        yield _part(whole, "fabric", whole.quantity / SQUARE_FEET_PER_SQUARE_YARD, "sq yd", words)
    if kind == "concrete_pad" and deep is not None:
        words = f"{amount(deep.usual)} {deep.unit} thick ({deep.mark}), without rock and steel."
        feet = deep.usual * whole.quantity / INCHES_PER_FOOT
        yield _part(whole, "concrete", feet / CUBIC_FEET_PER_CUBIC_YARD, "cu yd", words)


def _part(whole: Material, name: str, quantity: float, unit: str, words: str) -> Material:
    return Material(
        key=f"{whole.key}.{name}",
        title=sentence(name),
        quantity=quantity,
        unit=unit,
        price=None,
        cost=None,
        price_origin="none",
        quote_date=None,
        for_what=whole.title,
        needed_by=whole.needed_by,
        practices=whole.practices,
        practice_source=whole.practice_source,
        note=f"{words} {IN_THE_PRICE}",
    )
