"""Part of the workings: of one system, of one line, with the figures that they rest on."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from service.costing.comparison import standings_of
from service.costing.engine import Costing, cost
from service.costing.errors import nearest
from service.costing.lines import LINES
from service.costing.overrides import ASSUMPTIONS
from service.costing.workings import workings_of
from service.scenarios.desk import Desk, Document
from service.scenarios.kept import Kept
from service.scenarios.winters import recorded
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError

SYSTEM = "system"
LINE = "line"
BEST = "best"
BASELINE = "baseline"

CARRIES_ENTRIES: Mapping[str, Sequence[str]] = {
    "lines_of_entries": ("entries",),
    "lines_by_year": ("flows",),
    "annual_equivalents": ("present_value",),
    "present_values": ("flows",),
    "entries_by_year": ("amount", "escalation_rate"),
    "mean_of_winters": ("values",),
}
"""By formula, the arguments whose amounts stand in the order of a system's entries."""

SIDE_BY_SIDE = "side_by_side"
ALL_ENTRIES = "all_entries"
Entries = frozenset[int]


def workings_part(
    desk: Desk, kept: Kept, system: str | None = None, line: str | None = None
) -> Document:
    """Return the workings of a revision, or part of them.

    Parameters
    ----------
    desk : Desk
        Reads the document.
    kept : Kept
        The revision.
    system : str, optional
        Key of a system, ``best`` or ``baseline``; all systems, if not given.
    line : str, optional
        Key of a line; all lines and totals, if not given.

    Raises
    ------
    ProblemError
        If there is no such system or line; names the nearest.
    InputError
        If the revision cannot be costed.
    """
    document = recorded(desk, kept.head.office_id, kept.document).document
    costing = cost(desk.read(document), workings=True)
    keys = _systems(costing, system)
    if line is not None and line not in LINES:
        raise _unknown(LINE, line, tuple(LINES))
    whole = workings_of(costing)
    if system is None and line is None:
        return whole
    return _part(whole, keys, line)


def _systems(costing: Costing, wanted: str | None) -> Sequence[str]:
    if wanted is None:
        return tuple(costing.systems)
    if wanted == BEST:
        standings = standings_of(costing)
        return (min(standings, key=lambda key: standings[key].rank),)
    key = costing.case.scenario.baseline if wanted == BASELINE else wanted
    if key not in costing.systems:
        raise _unknown(SYSTEM, key, (*costing.systems, BEST, BASELINE))
    return (key,)


def _unknown(name: str, word: str, known: Sequence[str]) -> ProblemError:
    near = nearest(word, known)
    hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
    error = {"input": name, "detail": f"There is no {name} {word!r}; {hint}", "received": word}
    return ProblemError(INVALID_PARAMETER, errors=[error | ({"suggestion": near} if near else {})])


def _part(whole: Document, keys: Sequence[str], line: str | None) -> Document:
    followed = _Followed(whole["figures"])
    systems: dict[str, Any] = {}
    for key in keys:
        system = whole["systems"][key]
        if line is not None:
            chosen = system["lines"][line]
            system = {
                "entries": system["entries"],
                "tasks": system["tasks"],
                "lines": {line: chosen},
            }
            entries = frozenset(chosen["entries"])
            for name in ("annual_equivalent", "by_year"):
                followed.follow(chosen[name]["figure"], entries)
        else:
            for number in _numbers(system):
                followed.follow(number)
        systems[key] = system
    numbers = {old: new for new, old in enumerate(sorted(followed.kept))}
    figures = [followed.written(old, numbers) for old in sorted(followed.kept)]
    used = followed.sources()
    return {
        "axes": whole["axes"],
        "systems": {key: _renumbered(system, numbers) for key, system in systems.items()},
        "figures": figures,
        "reference_values": {
            key: row
            for key, row in whole["reference_values"].items()
            if f"{ASSUMPTIONS}.{key}" in used
        },
    }


TOTALS = ("annual_equivalent_cost", "out_of_pocket", "net_present_cost", "by_winter")


def _numbers(system: Document) -> Sequence[int]:
    """Return the numbers of the figures that a system names."""
    of_lines = [
        part["figure"]
        for line in system["lines"].values()
        for part in (line["annual_equivalent"], line["by_year"])
    ]
    return [*(system[name] for name in TOTALS), *of_lines]


def _renumbered(system: Document, numbers: Mapping[int, int]) -> Document:
    return {
        **system,
        **{name: numbers[system[name]] for name in TOTALS if name in system},
        "lines": {
            key: {
                **line,
                **{
                    name: {**line[name], "figure": numbers[line[name]["figure"]]}
                    for name in ("annual_equivalent", "by_year")
                },
            }
            for key, line in system["lines"].items()
        },
    }


@dataclass
class _Followed:
    """The figures that were come by, each with the parts of it that count."""

    figures: Sequence[Document]
    kept: dict[int, set[int]] = field(default_factory=dict[int, set[int]])
    """By number, the places of the parts that count."""

    done: set[tuple[int, Entries | None]] = field(default_factory=set[tuple[int, Entries | None]])

    def follow(self, number: int, entries: Entries | None = None) -> None:
        """Keep a figure and what it was worked from, as far as some entries go.

        Parameters
        ----------
        number : int
            Of the figure.
        entries : frozenset of int, optional
            Places of the entries that count, where its amounts are those of entries; all, if not
            given.
        """
        if (number, entries) in self.done:
            return
        self.done.add((number, entries))
        figure = self.figures[number]
        places = self.kept.setdefault(number, set())
        for place, part, inner in self._parts(figure, entries):
            places.add(place)
            self.follow(part, inner)
        carrying = CARRIES_ENTRIES.get(figure.get("formula", ""), ())
        for name, argument in figure.get("arguments", {}).items():
            self.follow(argument, entries if name in carrying else None)

    def _parts(
        self, figure: Document, entries: Entries | None
    ) -> Sequence[tuple[int, int, Entries | None]]:
        """Return place, number and entries of the parts that count."""
        numbers: Sequence[int] = figure.get("parts", ())
        parts = list(enumerate(numbers))
        if entries is None:
            return [(place, part, None) for place, part in parts]
        if figure.get("formula") == SIDE_BY_SIDE:
            return [(place, part, None) for place, part in parts if place in entries]
        if figure.get("formula") != ALL_ENTRIES:
            return [(place, part, None) for place, part in parts]
        found: list[tuple[int, int, Entries | None]] = []
        first = 0
        for place, part in parts:
            count = len(self.figures[part]["value"][0])
            inside = frozenset(entry - first for entry in entries if 0 <= entry - first < count)
            if inside:
                found.append((place, part, inside))
            first += count
        return found

    def written(self, number: int, numbers: Mapping[int, int]) -> Document:
        """Return a figure with the new numbers of what it was worked from."""
        figure = dict(self.figures[number])
        if "parts" in figure:
            places = self.kept[number]
            figure["parts"] = [
                numbers[part] if place in places else None
                for place, part in enumerate(figure["parts"])
            ]
        if "arguments" in figure:
            renumber: Callable[[int], int] = numbers.__getitem__
            figure["arguments"] = {
                name: renumber(argument) for name, argument in figure["arguments"].items()
            }
        return figure

    def sources(self) -> set[str]:
        """Return the paths that the figures come from."""
        found: set[str] = set()
        for number in self.kept:
            sources = self.figures[number].get("sources", ())
            found.update([sources] if isinstance(sources, str) else sources)
        return found
