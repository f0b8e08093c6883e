"""The plan as a page: what to do by when, hay, materials and cautions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from starlette.responses import HTMLResponse

from service.costing.reference.table import load_edition, newest_edition
from service.costing.wording import count, spoken
from service.season.figures import FROM_MEMORY, SEEN
from service.season.plan.records import (
    Amount,
    HayPlan,
    Material,
    Plan,
    PlanCaution,
    Reason,
    Task,
)
from service.web.pages.cautions_shown import SHORT
from service.web.pages.systems_compared import DISCLAIMER
from service.web.pages.wording import price, with_currency
from service.web.pages_season.templating import page
from service.web.pages_season.wording import (
    cash,
    dated,
    per_unit,
    quantity,
    season_said,
    when_said,
)

TEMPLATE = "plan.html"
COMING = 3
"""Tasks that are told first of all."""
GIVEN = "given"
PRICED = {
    "quote": "quote",
    "given": "your price",
    "reference": "usual price, ask for yours",
    "none": "",
}


@dataclass(frozen=True, slots=True)
class ShownTask:
    """A task in words."""

    key: str
    title: str
    when: str
    what: str
    how_much: list[str]
    why: str
    rule: str
    late: str
    is_worked: bool
    """Whether the engine says what a week late costs."""
    cautions: list[tuple[str, str]]
    """Key and short words."""


@dataclass(frozen=True, slots=True)
class ShownMonth:
    """The tasks of a month."""

    title: str
    tasks: list[ShownTask]


@dataclass(frozen=True, slots=True)
class ShownMaterial:
    """A material in words."""

    title: str
    for_what: str
    quantity: str
    price: str
    origin: str
    cost: str
    practices: str
    needed_by: str
    note: str


@dataclass(frozen=True, slots=True)
class ShownCaution:
    """A caution in full."""

    key: str
    sentence: str
    source: str


@dataclass(frozen=True, slots=True)
class ShownHay:
    """Hay in words."""

    needed: str
    worst: str
    on_hand: str
    to_buy: str
    buy_by: str
    checkpoints: list[tuple[str, str]]
    """Day, and what should be left then."""


def plan_page(plan: Plan, *, name: str, revision: int, today: date | None = None) -> HTMLResponse:
    """Return the page of a plan.

    Parameters
    ----------
    plan : Plan
        A chosen system with dates.
    name : str
        What the farm is called.
    revision : int
        Of the scenario.
    today : date, optional
        What comes next is told from this day on; from the first task, if not given.
    """
    return page(
        TEMPLATE,
        plan=plan,
        name=name,
        revision=revision,
        season=season_said(plan.season),
        coming=[_task(task, plan.currency) for task in coming(plan.tasks, today)],
        months=list(_months(plan)),
        hay=_hay(plan.hay, plan.currency) if plan.hay else None,
        materials=[_material(material, plan.currency) for material in plan.materials],
        cautions=[_caution(caution) for caution in plan.cautions],
        practice_sources=list(
            dict.fromkeys(
                material.practice_source
                for material in plan.materials
                if material.practices and material.practice_source
            )
        ),
        disclaimer=DISCLAIMER,
    )


def coming(tasks: Sequence[Task], today: date | None) -> list[Task]:
    """Return the first tasks that are not over, in the order of their days."""
    ordered = sorted(tasks, key=lambda task: task.day)
    ahead = [task for task in ordered if today is None or (task.last_day or task.day) >= today]
    return ahead[:COMING]


def _months(plan: Plan) -> Iterator[ShownMonth]:
    ordered = sorted(plan.tasks, key=lambda task: task.day)
    for (year, _), tasks in groupby(ordered, key=lambda task: (task.day.year, task.day.month)):
        found = list(tasks)
        title = f"{found[0].day:%B} {year}"
        yield ShownMonth(title, [_task(task, plan.currency) for task in found])


def _task(task: Task, currency: str) -> ShownTask:
    return ShownTask(
        key=task.key,
        title=task.title,
        when=when_said(task),
        what=task.what,
        how_much=[_amount(item, currency) for item in task.how_much],
        why=task.reason.words,
        rule=_rule(task.reason),
        late=task.week_late.words,
        is_worked=task.week_late.cost is not None,
        cautions=[(key, SHORT.get(key, spoken(key))) for key in task.cautions],
    )


def _rule(reason: Reason) -> str:
    """Say how the date was found, and by whose word."""
    if reason.mark == GIVEN:
        word = "your own date"
    elif reason.source:
        word = f"{reason.source} ({FROM_MEMORY})" if reason.mark != SEEN else reason.source
    else:
        word = reason.mark
    return "; ".join(part for part in (reason.rule, word) if part)


def _amount(item: Amount, currency: str) -> str:
    is_money = item.unit == currency
    said = cash(item.value, currency) if is_money else quantity(item.value, item.unit)
    return f"{said} ({item.of})" if item.of else said


def _hay(hay: HayPlan, currency: str) -> ShownHay:
    bales, worst = round(hay.bales_to_buy), round(hay.bales_to_buy_worst)
    if worst < 1:
        to_buy = "None to buy, even for the worst winter."
    elif bales < 1:
        to_buy = f"None to buy for a mean winter; {count(worst)} for the worst."
    else:
        each = with_currency(price(hay.price_per_bale), currency)
        to_buy = (
            f"Buy {quantity(bales, 'bale')}, {quantity(hay.tons_to_buy, 'ton')}, at about {each} "
            f"a bale: {cash(hay.cost, currency)}. For the worst winter {count(worst)}."
        )
    return ShownHay(
        needed=count(hay.bales_needed),
        worst=count(hay.bales_needed_worst),
        on_hand=count(hay.bales_on_hand),
        to_buy=to_buy,
        buy_by=dated(hay.buy_by) if worst >= 1 else "",
        checkpoints=[(dated(check.day), check.words) for check in hay.checkpoints],
    )


def _material(material: Material, currency: str) -> ShownMaterial:
    has_price = material.price is not None
    origin = PRICED[material.price_origin]
    if has_price and material.quote_date:
        origin = f"{origin} of {_quoted(material.quote_date)}"
    return ShownMaterial(
        title=material.title,
        for_what=material.for_what if material.for_what != material.title else "",
        quantity=quantity(material.quantity, material.unit),
        price=_unit_price(material, currency),
        origin=origin if has_price else "",
        cost="" if material.cost is None else cash(material.cost, currency),
        practices=", ".join(material.practices),
        needed_by="" if material.needed_by is None else dated(material.needed_by),
        note=material.note,
    )


def _unit_price(material: Material, currency: str) -> str:
    if material.price is None:
        return ""
    return f"{with_currency(price(material.price), currency)} {per_unit(material.unit)}".rstrip()


def _caution(caution: PlanCaution) -> ShownCaution:
    source = load_edition(newest_edition()).sources.get(caution.source)
    parts = (source.in_words if source else "", caution.where)
    return ShownCaution(
        caution.caution, caution.sentence, ", ".join(part for part in parts if part)
    )


def _quoted(day: str) -> str:
    try:
        return dated(date.fromisoformat(day))
    except ValueError:
        return day
