"""What a system builds or buys, what stands already, and when work on it begins and ends."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from service.costing.averages import number
from service.costing.builder import Built
from service.costing.caution_table import caution_table
from service.costing.triggers.facts import is_new
from service.costing.wording import named
from service.season.dates import days_before
from service.season.figures import figure_of, season_figures
from service.season.plan.anchors import Anchor, winter_begins
from service.season.subject import SeasonSubject

BOUGHT = frozenset({"feeder", "fence", "equipment"})
"""Kinds that are bought and set up, not built."""
BETWEEN = "; "
"""Titles hold commas and the word and."""


@dataclass(frozen=True, slots=True)
class Works:
    """One structure to be built or bought."""

    built: Built
    begin: date
    """First day of work, or the day by which it is bought."""
    finish: date
    finish_key: str
    """Key of the figure that gives the day by which it is finished or bought."""

    @property
    def kind(self) -> str:
        """Kind of structure."""
        return self.built.structure.kind

    @property
    def is_bought(self) -> bool:
        """Whether it is bought, not built."""
        return self.kind in BOUGHT

    @property
    def title(self) -> str:
        """What it is called."""
        return title_of(self.built)


def title_of(built: Built) -> str:
    """Return what a structure is called."""
    return named(built.structure.title, built.key)


def works_of(subject: SeasonSubject) -> tuple[Works, ...]:
    """Return the structures, or additions to them, that are still to be built or bought."""
    return tuple(
        _works(subject, built) for built in subject.costed.construction.built if is_new(built)
    )


def standing(subject: SeasonSubject) -> tuple[Built, ...]:
    """Return the structures that stand already, those that are enlarged left out."""
    return tuple(built for built in subject.costed.construction.built if not is_new(built))


def added_size(built: Built) -> float:
    """Return the size to be built: of an addition what is added."""
    whole = number(built.size.value)
    there = built.structure.existing_size
    return whole if there is None else whole - there


def under_caution(works: Iterable[Works], caution: str) -> tuple[Works, ...]:
    """Return the works of the kinds that a caution speaks of."""
    kinds = caution_table()[caution].kinds
    return tuple(each for each in works if each.kind in kinds)


def concerning(works: Iterable[Works], *cautions: str) -> tuple[str, ...]:
    """Return those of some cautions that speak of a kind among the works."""
    listed = tuple(works)
    return tuple(caution for caution in cautions if under_caution(listed, caution))


def shared(works: Iterable[Works]) -> tuple[str, ...]:
    """Return the caution of cost-share contracts, if cost-share is counted for any of the works."""
    terms = [each.built.structure.cost_share for each in works]
    return ("cost_share_contract",) if any(terms) else ()


def first_begin(works: Iterable[Works]) -> Anchor:
    """Return the first day on which any of these works begins."""
    begin = min(each.begin for each in works)
    return Anchor(begin, "the first work begins", "winter.first_day")


def _works(subject: SeasonSubject, built: Built) -> Works:
    kind = built.structure.kind
    key = _finish_key(kind)
    finish = days_before(winter_begins(subject).day, figure_of(key).usual)
    if kind in BOUGHT:
        return Works(built, finish, finish, key)
    begin = days_before(finish, figure_of(f"build.{kind}").usual)
    return Works(built, begin, finish, key)


def _finish_key(kind: str) -> str:
    if kind in BOUGHT:
        return "lead.buy_feeders"
    own = f"finish.{kind}"
    return own if own in season_figures() else "lead.finish_building"
