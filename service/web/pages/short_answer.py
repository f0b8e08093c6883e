"""The short answer: which way is cheapest, by how much, what it asks, and what keeps the limits."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from service.costing.wording import amount, listed
from service.web.pages.columns import SURE, meets_limits
from service.web.pages.systems_compared import by_rank, money
from service.web.pages.wording import cash, in_words, isolated, names_of

Document = Mapping[str, Any]

BY_MARGIN = "farm_margin"
COUNTS = {2: "two", 3: "three"}
MOST_BESIDE = 2
"""Systems of which is told what they ask up front."""


@dataclass(frozen=True, slots=True)
class _Told:
    """A costing with what its sentences are about."""

    costing: Document
    ranked: Sequence[Document]
    baseline: Document
    names: Mapping[str, Markup]

    @property
    def best(self) -> Document:
        return self.ranked[0]

    @property
    def tied(self) -> list[Document]:
        """The systems that the best cannot be told from on money."""
        return [one for one in self.ranked if one["system"] in self.best["tie_with"]]

    def cash(self, value: float) -> str:
        return cash(value, self.costing["currency"])

    def cost(self, system: Document) -> str:
        """Return what a system costs a year; where cost-share is hoped for, without it too."""
        cost = f"{self.cash(system['annual_equivalent_cost'])} a year"
        if not hoped_for(system):
            return cost
        without = self.cash(system["without_cost_share"])
        return f"{cost} with the cost-share hoped for ({without} without it)"

    def won_against_baseline(self, system: Document) -> str:
        """Return in how many winters a system costs less than the baseline; empty if in none."""
        pairs = list(zip(system["by_winter"], self.baseline["by_winter"], strict=True))
        won = sum(
            one["annual_equivalent_cost"] < other["annual_equivalent_cost"] for one, other in pairs
        )
        if len(pairs) == 1 or won == 0:
            return ""
        return "in every winter" if won == len(pairs) else f"in {won} of {len(pairs)} winters"


def hoped_for(system: Document) -> bool:
    """Whether a system rests on cost-share that no contract stands for."""
    return any(
        item["cost_share"] > 0 and item.get("cost_share_status") not in SURE
        for item in system["structures"]
    )


def short_answer(costing: Document) -> list[Markup]:
    """Return the sentences of the short answer, in the order in which they are read."""
    ranked = by_rank(costing)
    key = costing["comparison"]["baseline"]
    baseline = next(system for system in ranked if system["system"] == key)
    told = _Told(costing, ranked, baseline, names_of(costing))
    first = _most_left(told) if costing["ranked_by"] == BY_MARGIN else _cheapest(told)
    return [*first, *_easy_fix(told), *_up_front(told), *_within_limits(told)]


def _cheapest(told: _Told) -> Iterator[Markup]:
    best, baseline = told.best, told.baseline
    if best is baseline:
        yield Markup("What you do today ({}) is the cheapest on average: about {}.").format(
            isolated(best["title"]), told.cost(best)
        )
    elif told.tied:
        others = [one for one in told.tied if one is not baseline]
        yield Markup("{} costs about {} on average{}; today {}.").format(
            told.names[best["system"]],
            told.cost(best),
            Markup("").join(
                Markup("; {} {}").format(told.names[one["system"]], told.cost(one))
                for one in others
            ),
            told.cost(baseline),
        )
    else:
        saved = baseline["annual_equivalent_cost"] - best["annual_equivalent_cost"]
        yield Markup("{} is the cheapest on average: about {}, {} less than today ({}).").format(
            told.names[best["system"]],
            told.cost(best),
            told.cash(saved),
            told.cash(baseline["annual_equivalent_cost"]),
        )
    yield from _too_close(told)


def _most_left(told: _Told) -> Iterator[Markup]:
    best, baseline = told.best, told.baseline
    today = "" if best is baseline else f", against {told.cash(baseline['farm_margin'])} today"
    name = "What you do today" if best is baseline else told.names[best["system"]]
    yield Markup(
        "{} leaves the farm the most on average: {} a year{}. "
        "Herds differ, so what they earn is counted."
    ).format(name, told.cash(best["farm_margin"]), today)
    yield from _too_close(told)


def _too_close(told: _Told) -> Iterator[Markup]:
    if told.tied:
        names = in_words(told.names[one["system"]] for one in (told.best, *told.tied))
        yield Markup("Too close to call on money: {}.").format(names)


def _easy_fix(told: _Told) -> Iterator[Markup]:
    """Say what asks least money and still saves some, where that is not the answer already."""
    if told.costing["ranked_by"] == BY_MARGIN:
        return
    named = {told.best["system"], *told.best["tie_with"], told.baseline["system"]}
    today = told.baseline["annual_equivalent_cost"]
    fixes = [
        system
        for system in told.ranked
        if system["system"] not in named
        and system["first_cost"] > 0
        and round(today - system["without_cost_share"]) > 0
    ]
    least = min((told.best["first_cost"], *(one["first_cost"] for one in told.tied)))
    for system in sorted(fixes, key=lambda one: one["first_cost"])[:1]:
        if system["first_cost"] < least or told.best is told.baseline:
            saved = told.cash(today - system["without_cost_share"])
            winters = told.won_against_baseline(system)
            yield Markup("{} saves about {} a year for {} up front{}.").format(
                told.names[system["system"]],
                saved,
                told.cash(system["first_cost"]),
                f", {winters}" if winters else "",
            )


def _up_front(told: _Told) -> Iterator[Markup]:
    """Say what the best and those beside it ask up front, and how they stand against today."""
    named = [one for one in (told.best, *told.tied) if one is not told.baseline]
    for number, system in enumerate(named[:MOST_BESIDE]):
        winters = told.won_against_baseline(system)
        by_cost = told.costing["ranked_by"] != BY_MARGIN
        yield Markup("{} needs about {} up front{}{}.").format(
            "It" if named == [told.best] else told.names[system["system"]],
            told.cash(system["first_cost"]),
            f" and costs less than today {winters}" if winters and by_cost else "",
            _holds_up(told, system, named[0]) if number else "",
        )


def _holds_up(told: _Told, system: Document, other: Document) -> str:
    """Say whether a system is cheaper than another in the dearest winter of either."""
    worst, others = (
        max(row["annual_equivalent_cost"] for row in one["by_winter"]) for one in (system, other)
    )
    if len(system["by_winter"]) == 1 or money(worst) == money(others):
        return ""
    better = "better" if worst < others else "worse"
    against = f"({told.cash(worst)} against {told.cash(others)})"
    return f"; it holds up {better} in its worst winter {against}"


def _within_limits(told: _Told) -> Iterator[Markup]:
    limited = [system for system in told.ranked if system["limits"]]
    if not limited:
        return
    stated = limited[0]["limits"]
    count = len(stated)
    words = listed(_limit_said(told, name, limit["limit"]) for name, limit in stated.items())
    of_limits = (
        f"Your limit ({words})" if count == 1 else f"Of your {COUNTS[count]} limits ({words}),"
    )
    met = [told.names[system["system"]] for system in limited if meets_limits(system)]
    if count == 1:
        who = Markup("is kept by {}").format(in_words(met)) if met else "is kept by none"
    elif met:
        verb = "meets" if len(met) == 1 else "meet"
        only = "only " if len(met) < len(limited) else ""
        who = Markup("{}{} {} all").format(only, in_words(met), verb)
    else:
        who = "none meets all"
    yield Markup("{} {}.").format(of_limits, who)


def _limit_said(told: _Told, name: str, limit: float) -> str:
    said = {
        "money_up_front": f"{told.cash(limit)} up front",
        "minutes_weekday": f"{amount(limit)} minutes on an ordinary day",
        "acres_to_fix": f"{amount(limit)} acres to fix",
    }
    return said[name]
