"""What a change did to the answer: two costings held against each other, and said in a sentence.

Costs in two currencies are shown side by side and never subtracted.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from service.costing.wording import sentence as capitalized
from service.scenarios.changes import Change
from service.scenarios.phrases import cut, money, said

Document = dict[str, Any]

COST = "annual_equivalent_cost"
NEXT_TO_NOTHING = 1e-9
"""Differences below this part of the amounts are those of rounding."""

TODAY = "today"
MOST_ADDED_NAMED = 2


def effect_of(before: Document, after: Document) -> Document:
    """Return what became of each system's cost, of the baseline's and of the cheapest.

    Parameters
    ----------
    before, after : dict
        Costings as they are answered.

    Returns
    -------
    dict
        Annual equivalent costs [currency/year]; null for a system that one of them has not, and
        no change where the currencies differ.
    """
    old, new = (_by_key(costing) for costing in (before, after))
    comparable = before["currency"] == after["currency"]
    systems = [
        {"system": key, "title": new.get(key, old.get(key, {}))["title"]}
        | _then_and_now(old.get(key), new.get(key), comparable=comparable)
        for key in dict.fromkeys((*new, *old))
    ]
    baseline = after["comparison"]["baseline"]
    return {
        "baseline": next(row for row in systems if row["system"] == baseline),
        "best": {
            "before": before["best_system"],
            "before_title": old[before["best_system"]]["title"],
            "after": after["best_system"],
            "after_title": new[after["best_system"]]["title"],
            "ranked_by": after["ranked_by"],
        },
        "systems": systems,
        "currency": {"before": before["currency"], "after": after["currency"]},
        "price_year": {
            "before": before["inputs_used"].get("price_year"),
            "after": after["inputs_used"].get("price_year"),
        },
    }


def sentence(changes: Sequence[Change], effect: Mapping[str, Any] | None, currency: str) -> str:
    """Say in one sentence what was changed, and what that did to the answer if it is known."""
    what = capitalized(said(changes))
    if effect is None or not changes:
        return f"{what}."
    return f"{what}: {consequence(effect, currency)}."


def consequence(effect: Mapping[str, Any], currency: str) -> str:
    """Say what became of the costs, as the part of a sentence after a colon."""
    money_of = effect["currency"]
    if money_of["before"] != money_of["after"]:
        return (
            f"costs were in {money_of['before']} and are in {money_of['after']} now, "
            "so they are not compared"
        )
    parts = [*_costs(effect, currency), *_added(effect, currency), *_best(effect)]
    unmoved = not _changed(effect) and not any(_one_sided(row) for row in effect["systems"])
    if unmoved and effect["best"]["before"] == effect["best"]["after"]:
        parts = ["no cost changed"]
    years = effect["price_year"]
    if years["before"] != years["after"]:
        parts.append(f"prices were of {_year(years['before'])}, now of {_year(years['after'])}")
    return "; ".join(parts)


def differs(before: float, after: float) -> bool:
    """Whether two amounts differ by more than rounding."""
    return abs(after - before) > NEXT_TO_NOTHING * max(abs(before), abs(after))


def _by_key(costing: Document) -> dict[str, Document]:
    return {system["system"]: system for system in costing["systems"]}


def _then_and_now(
    old: Document | None, new: Document | None, *, comparable: bool
) -> dict[str, float | None]:
    row: dict[str, float | None] = {
        "before": None if old is None else old[COST],
        "after": None if new is None else new[COST],
        "change": None,
    }
    if comparable and old is not None and new is not None:
        row["change"] = new[COST] - old[COST]
    return row


def _changed(effect: Mapping[str, Any]) -> list[Document]:
    """Return the systems whose cost changed, the most first."""
    rows = [row for row in effect["systems"] if _has_changed(row)]
    return sorted(rows, key=lambda row: -abs(row["change"]))


def _has_changed(row: Mapping[str, Any]) -> bool:
    return row["change"] is not None and differs(row["before"], row["after"])


def _one_sided(row: Mapping[str, Any]) -> bool:
    return row["before"] is None or row["after"] is None


def _costs(effect: Mapping[str, Any], currency: str) -> Iterator[str]:
    baseline, changed = effect["baseline"], _changed(effect)
    if _has_changed(baseline):
        yield f"{_cost_of(baseline)} {_up_or_down(baseline, currency)}"
    elif changed:
        if not _one_sided(baseline):
            yield f"{_cost_of(baseline)} unchanged"
        most = f"{_cost_of(changed[0])} {_up_or_down(changed[0], currency)}"
        yield most if len(changed) == 1 else f"{len(changed)} others changed, most of all {most}"


def _cost_of(row: Mapping[str, Any]) -> str:
    """Return what a system's cost is called; one called today needs no further name."""
    if row["system"] == TODAY or row["title"].lower().startswith(TODAY):
        return "today's cost"
    return f"the cost of {cut(row['title'])}"


def _up_or_down(row: Mapping[str, Any], currency: str) -> str:
    way = "up" if row["change"] > 0 else "down"
    return f"{way} {money(row['change'])} {currency} a year"


def _added(effect: Mapping[str, Any], currency: str) -> Iterator[str]:
    added = [row for row in effect["systems"] if row["before"] is None]
    if len(added) <= MOST_ADDED_NAMED:
        for row in added:
            yield f"{cut(row['title'])} costs {money(row['after'])} {currency} a year"


def _best(effect: Mapping[str, Any]) -> Iterator[str]:
    best = effect["best"]
    if len(effect["systems"]) == 1:
        return
    word = "best by farm margin" if best["ranked_by"] == "farm_margin" else "cheapest"
    now = cut(best["after_title"])
    if best["before"] == best["after"]:
        yield f"the {word} is still {now}"
    else:
        yield f"the {word} is now {now}, no longer {cut(best['before_title'])}"


def _year(year: float | None) -> str:
    return "an unnamed year" if year is None else f"{year:.0f}"
