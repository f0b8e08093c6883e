"""For the lender: what moves the annual cost most, and where the system stops being cheaper."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from service.analysis.break_even import break_even
from service.analysis.questions import BreakEven, Sensitivity
from service.analysis.sensitivity import sensitivity
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.costing.averages import number
from service.costing.comparison import annual, lines_of
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.input_catalog import inputs
from service.costing.margin import has_herd_change
from service.costing.triggers.facts import is_new
from service.web.annexes.annex import Block, Item, Origin, stated, unknown
from service.web.annexes.subject import ASSUMPTIONS, NOTHING, AnnexSubject

MOST_SWINGS = 6
SPAN = 4
"""Break-evens are sought from a quarter of a value to four times it."""
UNFED = "Animals are left unfed there: that is not the whole cost."
PART_UNFED = "In part of that animals are left unfed, and the cost there is not the whole."
OVERRUN = 0.1
"""The overrun that is tried, to find how far one may go."""


def asked_of(subject: AnnexSubject) -> Subject:
    """Return what the questions are asked of: the system and that of today alone.

    Where herds differ all systems stay, since what a group earns may stand in any of them.
    """
    scenario, document = subject.scenario, subject.document
    if not has_herd_change(subject.costing):
        kept = {subject.key, scenario.baseline}
        systems = {key: one for key, one in document["systems"].items() if key in kept}
        document = {**document, "systems": systems}
        own = {key: one for key, one in scenario.systems.items() if key in kept}
        scenario = replace(scenario, systems=own)
    return Subject(document, scenario, subject.read)


def swings_block(subject: AnnexSubject) -> Block:
    """Return the inputs that move the annual cost most, each between its low and its high."""
    title = "What moves the annual cost most"
    try:
        found = answered(sensitivity(asked_of(subject), Sensitivity(system=subject.key)))
    except InputError as error:
        return Block("swings", title, [_refused("swings", "Swings", error)])
    items = [item for row in found["rows"][:MOST_SWINGS] for item in _swing(subject, row)]
    return Block("swings", title, items, shape="grid", remark="All others as they are.")


def _swing(subject: AnnexSubject, row: dict[str, Any]) -> Iterator[Item]:
    about = f"{row['meaning'].rstrip('.')} ({row['input'].removeprefix(f'{ASSUMPTIONS}.')})"
    unit, origin = row["unit"], row["origin"]
    reference = origin == "reference"
    source, _, where = (row["source"] or "").partition(". ")
    if source != "Assumption":
        source, where = row["source"] or "", ""
    first: Origin = "reference" if reference else "given"
    yield Item(
        line="value",
        title="Taken as",
        value=row["base"],
        unit=unit,
        origin=first,
        about=about,
        low=row["low"],
        usual=row["base"],
        high=row["high"],
        source=source,
        where=where,
        mark=_mark(row),
        input=row["input"],
    )
    for end in ("low", "high"):
        unfed = subject.key in row[f"unfed_at_{end}"]
        yield subject.worked(
            f"at_{end}",
            f"cost at its {end}",
            row[f"at_{end}"],
            "currency/year",
            about,
            UNFED if unfed else "",
        )
    yield subject.worked("swing", "swing", row["swing"], "currency/year", about)


def _mark(row: dict[str, Any]) -> str:
    source = row["source"] or ""
    if source.startswith("Assumption"):
        return "assumption"
    if source.startswith("Common practice"):
        return "common practice"
    return "from memory" if row["unverified"] else "seen"


def break_even_block(subject: AnnexSubject) -> Block:
    """Return at what values the system costs what today costs."""
    title = "Break-even with today"
    if subject.is_today:
        remark = "This is the system of today: there is nothing to break even with."
        return Block("break_even", title, [], remark=remark)
    items = [*_points(subject), *_of_money(subject)]
    by = "what the farm is left with" if has_herd_change(subject.costing) else "annual cost"
    return Block("break_even", title, items, remark=f"Values at which both have the same {by}.")


def _points(subject: AnnexSubject) -> Iterator[Item]:
    asked, scenario = asked_of(subject), subject.scenario
    hay = "price_per_ton" if scenario.hay.price_per_ton is not None else "price_per_bale"
    group = max(
        scenario.herd, key=lambda key: scenario.herd[key].head * scenario.herd[key].body_weight_lb
    )
    for path, line, title, base in (
        (f"hay.{hay}", "hay_price", "Hay price", getattr(scenario.hay, hay)),
        ("prices.labor_per_hour", "wage", "Value of an hour", scenario.prices.labor_per_hour),
        (
            f"herd.{group}.head",
            "head",
            f"Head of {subject.group_title(group)}",
            scenario.herd[group].head,
        ),
    ):
        yield from _sought(subject, asked, path, line, title, base)


def _sought(
    subject: AnnexSubject, asked: Subject, path: str, line: str, title: str, base: float | None
) -> Iterator[Item]:
    if not base:
        yield unknown(line, title, note="It stands at 0, so no range was looked at.")
        return
    low, high = base / SPAN, min(base * SPAN, _largest(path))
    if line == "head":
        low = max(1.0, low)
    question = BreakEven(
        input=path, low=low, high=high, systems=(subject.key, subject.scenario.baseline)
    )
    try:
        found = answered(break_even(asked, question))
    except InputError as error:
        yield _refused(line, title, error)
        return
    unit = found["unit"]
    range_said = f"Looked for from {low:,.4g} to {high:,.4g}; now {base:,.4g}."
    if any("unfed" in warning for warning in found["warnings"]):
        range_said += f" {PART_UNFED}"
    crossings = [*found["points"], *found["jumps"]]
    for point in crossings:
        cheaper = _title(subject, point["cheaper_below"])
        yield subject.worked(
            line, title, point["value"], unit, note=f"Below it cheaper: {cheaper}. {range_said}"
        )
    if not crossings:
        whole = found["cheaper_throughout"]
        said = f"none: {_title(subject, whole)} throughout" if whole else "none"
        yield subject.worked(line, title, said, note=range_said)


def _title(subject: AnnexSubject, key: str | None) -> str:
    if key is None:
        return "neither"
    return "the system" if key == subject.key else "today"


def _largest(path: str) -> float:
    pattern = "herd.<group>.head" if path.startswith("herd.") else path
    found = next((one.maximum for one in inputs() if one.path == pattern), None)
    return float("inf") if found is None else found


def _of_money(subject: AnnexSubject) -> Iterator[Item]:
    """Yield how far what is built may cost more, and how much cost-share it needs."""
    yield _overrun(subject)
    yield from _needed_share(subject)


def _overrun(subject: AnnexSubject) -> Item:
    line, title = "overrun", "First cost may run over by"
    if has_herd_change(subject.costing):
        return unknown(line, title, note="Herds differ, so cost alone does not tell.")
    if not subject.new:
        return stated(line, title, "nothing is built")
    saved = annual(subject.baseline) - annual(subject.system)
    slope = _slope(subject)
    note = "Cost-share held at its amount; below 0 it must cost less before it saves."
    if slope <= NOTHING:
        return unknown(line, title, note="What is built moves no cost.")
    return subject.worked(line, title, saved / slope, "fraction", note=note)


def _slope(subject: AnnexSubject) -> float:
    """Return what the annual cost rises by where all that is built costs as much again.

    Found by a run of the engine with a tenth on top of each first cost.
    """
    before = subject.scenario.systems[subject.key]
    dearer = {
        item.key: replace(
            item.structure,
            engineering_cost=item.structure.engineering_cost
            + OVERRUN * number(item.addition.cost.value),
        )
        for item in subject.system.construction.built
        if is_new(item)
    }
    system = replace(before, structures={**before.structures, **dearer})
    scenario = asked_of(subject).scenario
    systems = {**scenario.systems, subject.key: system}
    costed = cost(replace(scenario, systems=systems)).systems[subject.key]
    return (_without_share(lines_of(costed)) - _without_share(lines_of(subject.system))) / OVERRUN


def _without_share(lines: dict[str, float]) -> float:
    return sum(amount for line, amount in lines.items() if line != "cost_share")


def _needed_share(subject: AnnexSubject) -> Iterator[Item]:
    """Yield the cost-share at which the system costs what today costs."""
    shared = [
        (told["cost"], told["cost_share"])
        for _, told in subject.built
        if told["cost_share"] > NOTHING
    ]
    line, title = "cost_share", "Cost-share it needs"
    if has_herd_change(subject.costing) or not shared:
        return
    hoped = sum(share for _, share in shared)
    worth = -lines_of(subject.system)["cost_share"]
    gap = subject.shown["without_cost_share"] - annual(subject.baseline)
    needed = hoped * gap / worth
    note = f"In the years in which it is hoped for; {hoped:,.0f} is hoped for."
    if needed <= 0:
        yield subject.worked(line, title, 0.0, "currency", note="It costs less without any.")
        return
    yield subject.worked(line, title, needed, "currency", note=note)
    yield subject.worked(
        "cost_share_rate",
        "as a share of what it goes to",
        needed / sum(whole for whole, _ in shared),
        "fraction",
        note="More than 100 % cannot be paid." if needed > sum(w for w, _ in shared) else "",
    )


def _refused(line: str, title: str, error: InputError) -> Item:
    return unknown(line, title, note=f"Not worked: {error.faults[0].detail}")
