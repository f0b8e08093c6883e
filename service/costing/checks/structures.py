"""Faults of structures: sizes that nothing gives, roofs over nothing, and what exists already."""

from collections.abc import Iterator
from datetime import date

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import choice, some_of
from service.costing.checks.question import Question, Site
from service.costing.errors import Fault
from service.costing.places import LAND
from service.costing.structures import Structure

BY_LENGTH = ("access_lane", "fence", "pipeline")
BY_PIECE = ("equipment", "pump")
WITHOUT_RULE = (*BY_LENGTH, *BY_PIECE)
"""Kinds whose size no rule gives; pieces count one where nothing is said."""


def structure_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the structures of every system."""
    for site in question.sites:
        for key, structure in site.system.structures.items():
            path = site.path("structures", key)
            yield from _name(path, key, structure)
            yield from _size(site, path, key, structure)
            yield from _existing(path, structure)
            yield from _quote_date(path, structure)
            if structure.kind == "roof":
                yield from _roof(question, site, path, structure)
        yield from _roofs_over_one_floor(site)


def has_size(structure: Structure) -> bool:
    """Whether a size is given, new or existing."""
    return structure.given_size is not None or structure.existing_size is not None


def may_be_enlarged(structure: Structure) -> bool:
    """Whether something may be built beside what exists."""
    existing, given = structure.existing_size, structure.given_size
    if existing is None:
        return False
    if given is None:
        return structure.kind not in WITHOUT_RULE
    return given > existing


def exists(structure: Structure) -> bool:
    """Whether it is there already, all or in part."""
    return structure.existing or structure.existing_size is not None


def _name(path: str, key: str, structure: Structure) -> Iterator[Fault]:
    if structure.is_floor and key in LAND:
        yield Fault(
            path,
            f"No floor may be called {key!r}, which is a resting place on land; call it something "
            "else.",
            received=key,
            allowed=f"any key but {choice(LAND)}",
        )


def _size(site: Site, path: str, key: str, structure: Structure) -> Iterator[Fault]:
    kind, name = structure.kind, structure.size_field
    if kind == "equipment" and structure.price is None:
        yield fault_of(
            structure,
            path,
            "price",
            "Equipment is bought at its price, and the price is missing.",
        )
    if has_size(structure):
        return
    reason = ""
    unused = site.knows_its_places and key not in site.used_floors
    if structure.is_floor and unused:
        reason = f"No step uses the {kind}, so no rule gives its size"
    elif kind in BY_LENGTH and structure.price is None:
        reason = f"No rule gives a length for {kind}, and it has no price"
    elif kind == "manure_storage" and unused and not site.used_floors:
        reason = "No step uses a floor, so there is no manure to size the storage by"
    elif kind == "treatment_strip" and not site.open_pads:
        reason = "There is no open pad to size the strip by"
    if reason:
        yield fault_of(
            structure,
            path,
            name,
            f"{reason}; give {name}, or leave the structure out.",
        )


def _existing(path: str, structure: Structure) -> Iterator[Fault]:
    existing_name = f"existing_{structure.size_field}"
    if exists(structure) and structure.remaining_life_years is None:
        yield fault_of(
            structure,
            path,
            "remaining_life_years",
            "It exists already, so the years until it is rebuilt are needed.",
        )
    if not exists(structure) and structure.remaining_life_years is not None:
        yield fault_of(
            structure,
            path,
            "remaining_life_years",
            "remaining_life_years is of something that exists; set existing to true, give "
            f"{existing_name}, or leave it out.",
        )
    if structure.tie_in_cost > 0 and structure.existing_size is None:
        yield fault_of(
            structure,
            path,
            "tie_in_cost",
            f"tie_in_cost joins new to old and counts only beside {existing_name}; give that, or "
            "add the money to the price.",
        )


def _quote_date(path: str, structure: Structure) -> Iterator[Fault]:
    if structure.quote_date is None:
        return
    try:
        date.fromisoformat(structure.quote_date)
    except ValueError:
        yield fault_of(
            structure,
            path,
            "quote_date",
            f"There is no day {structure.quote_date} in the calendar.",
            allowed="a day as YYYY-MM-DD",
        )


def _roof(question: Question, site: Site, path: str, structure: Structure) -> Iterator[Fault]:
    over: str = structure.setting("over")
    structures = site.system.structures
    fitting = [key for key, floor in site.floors.items() if not floor.structure.always_roofed]
    if over not in structures:
        yield question.unknown(f"{path}.over", "floor", over, fitting)
        return
    covered = structures[over]
    if not covered.is_floor or covered.always_roofed:
        why = "which has a roof of its own" if covered.is_floor else "which is no floor"
        yield Fault(
            f"{path}.over",
            f"{over} is a {covered.kind}, {why}; a roof stands over another floor of the system. "
            f"Known: {some_of(fitting) or 'none'}.",
            received=over,
            allowed=choice(fitting),
        )


def _roofs_over_one_floor(site: Site) -> Iterator[Fault]:
    first: dict[str, str] = {}
    for key, structure in site.system.structures.items():
        if structure.kind != "roof":
            continue
        over: str = structure.setting("over")
        if over in first:
            yield Fault(
                site.path("structures", key, "over"),
                f"The roof {first[over]} stands over {over} already; name another floor, or leave "
                "this roof out.",
                received=over,
            )
        first.setdefault(over, key)
