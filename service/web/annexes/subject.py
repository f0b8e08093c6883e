"""What an annex is about: one system of a costing, its figures and its document."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from service.costing.averages import mean
from service.costing.builder import Built
from service.costing.document import whole
from service.costing.engine import Costing, SystemCosting
from service.costing.figure import Figure
from service.costing.limits import known
from service.costing.reference.keys import template_of
from service.costing.reference.table import (
    ASSUMPTION,
    COMMON_PRACTICE,
    Edition,
    Row,
    load_edition,
)
from service.costing.scenario import Scenario
from service.costing.triggers.facts import is_new
from service.costing.wording import named
from service.web.annexes.annex import Item, Origin, Value, unknown

Document = Mapping[str, Any]
ASSUMPTIONS = "assumptions"
NO_SOURCE = frozenset({ASSUMPTION.key, COMMON_PRACTICE.key})
NOTHING = 0.005
"""Less money than this is none."""


@dataclass(frozen=True)
class AnnexSubject:
    """One system of a costed scenario.

    ``body`` is the costing as it is answered, ``costing`` the engine's own figures of the same
    scenario, ``document`` what was sent, with the winters of a record in their place.
    """

    body: Document
    costing: Costing
    document: dict[str, Any]
    key: str
    read: Callable[[dict[str, Any]], Scenario]
    scenario_id: str | None = None
    revision: int | None = None

    @property
    def currency(self) -> str:
        """Currency of all money."""
        return self.body["currency"]

    @property
    def scenario(self) -> Scenario:
        """The question."""
        return self.costing.case.scenario

    @property
    def system(self) -> SystemCosting:
        """The engine's figures of the system."""
        return self.costing.systems[self.key]

    @property
    def baseline(self) -> SystemCosting:
        """The engine's figures of the system of today."""
        return self.costing.baseline

    @property
    def is_today(self) -> bool:
        """Whether the annex is about the system that the others are held against."""
        return self.key == self.scenario.baseline

    @cached_property
    def shown(self) -> Document:
        """The system as it is answered."""
        return self._shown(self.key)

    @cached_property
    def shown_today(self) -> Document:
        """The system of today as it is answered."""
        return self._shown(self.scenario.baseline)

    def _shown(self, key: str) -> Document:
        return next(one for one in self.body["systems"] if one["system"] == key)

    @cached_property
    def edition(self) -> Edition:
        """The reference values of the costing."""
        return load_edition(self.body["reference_edition"])

    @cached_property
    def built(self) -> list[tuple[Built, Document]]:
        """Structures of the system: the engine's figures, and what is answered of each."""
        answered = {item["key"]: item for item in self.shown["structures"]}
        return [(item, answered[item.key]) for item in self.system.construction.built]

    @cached_property
    def new(self) -> list[tuple[Built, Document]]:
        """Those of which something is still to be built."""
        return [(item, told) for item, told in self.built if is_new(item)]

    def title_of(self, item: Built) -> str:
        """Return what a structure is called, with its key where another is called so too."""
        titles = [named(one.structure.title, one.key) for one, _ in self.built]
        return _told_apart(named(item.structure.title, item.key), item.key, titles)

    def group_title(self, key: str) -> str:
        """Return what a group is called, with its key where another is called so too."""
        herd = self.scenario.herd
        titles = [named(group.title, one) for one, group in herd.items()]
        return _told_apart(named(herd[key].title, key), key, titles)

    def mean(self, figure: Figure) -> float:
        """Return the mean of the winters."""
        return mean(self.costing.winters, figure)

    def money(self, unit: str = "") -> str:
        """Return a unit of money: the currency, or that and what follows it."""
        return f"{self.currency}{unit}"

    def given(
        self,
        path: str,
        line: str,
        title: str,
        value: Value,
        unit: str = "",
        *,
        about: str = "",
        note: str = "",
    ) -> Item:
        """Return a line that is an input; one that is not given is not known."""
        if value is None:
            return unknown(line, title, about, note)
        origins: dict[str, Origin] = self.body["origins"]
        return Item(
            line=line,
            title=title,
            value=whole(value),
            unit=unit.replace("currency", self.currency),
            origin=origins.get(path, "given"),
            about=about,
            note=note,
            input=path,
        )

    def worked(
        self, line: str, title: str, value: Value, unit: str = "", about: str = "", note: str = ""
    ) -> Item:
        """Return a line that was worked from others."""
        unit = unit.replace("currency", self.currency)
        return Item(
            line=line, title=title, value=value, unit=unit, origin="worked", about=about, note=note
        )

    def reference(self, key: str, line: str, title: str, about: str = "") -> Item:
        """Return a line that is a reference value, with its range, source and mark."""
        value = self.known(key)
        if value is None:
            return unknown(line, title, about)
        row = self.edition.rows.get(key)
        template = template_of(key)
        path = f"{ASSUMPTIONS}.{key}"
        given = key in self.scenario.assumptions
        unit = template.unit if template else ""
        low, usual, high = (None, None, None) if row is None else _range(row)
        return Item(
            line=line,
            title=title,
            value=value,
            unit=unit.replace("currency", self.currency),
            origin="given" if given else "reference",
            about=about,
            low=low,
            usual=usual,
            high=high,
            source=self._source(row),
            where=_where(row),
            mark=_mark(row),
            input=path,
        )

    def known(self, key: str) -> float | None:
        """Return a reference value as the costing took it; None where nobody gives it."""
        return known(self.costing.case, key)

    def used(self, key: str) -> bool:
        """Whether the costing read a reference value."""
        return key in self.body["inputs_used"].get(ASSUMPTIONS, {})

    def _source(self, row: Row | None) -> str:
        return "" if row is None else self.edition.sources[row.source].in_words


def _range(row: Row) -> tuple[float | None, float | None, float | None]:
    """Return low, usual and high of a number."""
    return row.low, None if isinstance(row.usual, str) else row.usual, row.high


def _told_apart(title: str, key: str, titles: Sequence[str]) -> str:
    return title if titles.count(title) == 1 else f"{title} ({key})"


def _mark(row: Row | None) -> str:
    if row is None:
        return ""
    if row.source == ASSUMPTION.key:
        return "assumption"
    if row.source == COMMON_PRACTICE.key:
        return "common practice"
    return "from memory" if row.unverified else "seen"


def _where(row: Row | None) -> str:
    """Return where in the source a value stands; what has no source says why instead."""
    if row is None:
        return ""
    return row.note if row.source in NO_SOURCE else row.where or row.note
