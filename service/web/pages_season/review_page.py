"""The winter that was, held against the plan, as a page."""

from dataclasses import dataclass

from starlette.responses import HTMLResponse

from service.costing.wording import amount, spoken
from service.season.facts import WinterFacts
from service.season.review.records import LineReview, QuantityReview, Review
from service.web.pages.systems_compared import DISCLAIMER
from service.web.pages_season.templating import page
from service.web.pages_season.wording import difference, tens, unit_said

TEMPLATE = "review.html"
AGAIN = {
    "yes": "Would do it again.",
    "no": "Would not do it again.",
    "with_changes": "Would do it again, with changes.",
}
WEATHER_FROM = {
    "facts": "The days on each kind of ground are those recorded.",
    "scenario": "The days on each kind of ground are those of that winter in the scenario.",
    "length": "The length of the winter is the recorded one; its kinds of ground are shared as in "
    "the mean winter.",
    "none": "Nothing was recorded of the weather: the winter counts as a mean one.",
}
NOT_RECORDED = "not recorded"


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of money in words."""

    title: str
    group: str
    planned: str
    actual: str
    weather: str
    price: str
    practice: str
    not_split: str
    recorded: bool


@dataclass(frozen=True, slots=True)
class ShownQuantity:
    """A quantity in words."""

    title: str
    unit: str
    planned: str
    expected: str
    actual: str


def review_page(review: Review, *, name: str, revision: int, facts: WinterFacts) -> HTMLResponse:
    """Return the page of a review.

    Parameters
    ----------
    review : Review
        A winter against its plan.
    name : str
        What the farm is called.
    revision : int
        Of the scenario that was the plan.
    facts : WinterFacts
        The winter in the words of who wrote it down.
    """
    lines = [_line(line) for line in review.lines if not _is_nothing(line)]
    return page(
        TEMPLATE,
        review=review,
        name=name,
        revision=revision,
        lines=lines,
        total=_line(review.total),
        all_recorded=all(line.recorded for line in lines),
        quantities=[_quantity(item) for item in review.quantities],
        weather_from=WEATHER_FROM.get(review.weather_from, ""),
        again=AGAIN.get(facts.would_do_again or "", ""),
        worst_weeks=facts.worst_weeks or "",
        remark=facts.remark or "",
        lost=[f"{amount(head)} of {spoken(group)}" for group, head in facts.animals_lost.items()],
        disclaimer=DISCLAIMER,
    )


def _is_nothing(line: LineReview) -> bool:
    parts = (line.planned, line.actual, line.weather, line.price, line.practice, line.not_split)
    return not any(parts)


def _line(line: LineReview) -> ShownLine:
    return ShownLine(
        title=line.title,
        group=line.group,
        planned=tens(line.planned),
        actual=tens(line.actual),
        weather=difference(line.weather),
        price=difference(line.price),
        practice=difference(line.practice),
        not_split=difference(line.not_split),
        recorded=line.recorded,
    )


def _quantity(item: QuantityReview) -> ShownQuantity:
    return ShownQuantity(
        title=item.title,
        unit=unit_said(item.unit, 2),
        planned=amount(item.planned),
        expected=amount(item.expected),
        actual=NOT_RECORDED if item.actual is None else amount(item.actual),
    )
