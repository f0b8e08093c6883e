"""The recorded winters: days of each kind of ground, and what each system cost in each of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.units import STATES
from service.costing.wording import sentence, spoken
from service.reports.pictures.looks import QUIET
from service.reports.pictures.looks import STATES as LOOKS
from service.reports.pictures.sheet import LINE, RIGHT, Scale, Sheet
from service.reports.pictures.shown import Document, Shown, left_out, shown_systems
from service.reports.pictures.wording import SMALL, money, plain, width

MOST = 40
"""Winters that have room beside each other."""
LEFT = 50.0
STRIP, DOTS = 110.0, 170.0
SHORT_SEASON = 7
TITLES = {"snow_covered": "Snow-covered", "wet": "Too wet to drive on"}
FEWEST = 2
"""One winter alone is neither the driest nor the wettest."""


@dataclass(frozen=True, slots=True)
class DrawnWinter:
    """A winter: its name, its days of each state, what each system cost, and the autumn before."""

    season: str
    days: dict[str, float]
    costs: list[float]
    growth: float


def winters_of(body: Document, systems: Sequence[Shown]) -> list[DrawnWinter]:
    """Return the winters of a costing, in their order."""
    winter = body["inputs_used"]["winter"]
    rows = winter.get("rows") or [{"ground_days": winter["ground_days"]}]
    usual = winter.get("stockpile_growth_factor", 1)
    seasons = [row["season"] for row in systems[0].document["by_winter"]]
    costs = [
        [row["annual_equivalent_cost"] for row in item.document["by_winter"]] for item in systems
    ]
    return [
        DrawnWinter(
            plain(season),
            {state: row["ground_days"].get(state) or 0 for state in STATES},
            [found[number] for found in costs],
            _or(row.get("stockpile_growth_factor"), usual),
        )
        for number, (season, row) in enumerate(zip(seasons, rows, strict=True))
    ]


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


def named_winters(winters: Sequence[DrawnWinter]) -> dict[str, DrawnWinter]:
    """Return the driest and the wettest winter, and the one after the driest autumn.

    Of winters with as many wet days the one with more frozen and snow-covered days is the drier,
    then the earlier one. The driest autumn is the one that grew the least grass.
    """
    if len(winters) < FEWEST:
        return {}
    order = sorted(range(len(winters)), key=lambda number: _wetness(winters[number], number))
    found = {"Driest": winters[order[0]], "Wettest": winters[order[-1]]}
    if len({winter.growth for winter in winters}) > 1:
        driest = min(order, key=lambda number: winters[number].growth)
        found["After the driest autumn"] = winters[driest]
    return found


def _wetness(winter: DrawnWinter, number: int) -> tuple[float, float, str, int]:
    days = winter.days
    return (days["wet"], -(days["frozen"] + days["snow_covered"]), winter.season, number)


def draw(sheet: Sheet, body: Document, _: Document) -> str:
    """Draw the strip and return what it shows."""
    systems = shown_systems(body)
    every = winters_of(body, systems)
    named = named_winters(every)
    winters = every[-MOST:]
    step = (RIGHT - LEFT) / len(winters)
    middles = [LEFT + step * (number + 0.5) for number in range(len(winters))]
    sheet.heading("Days of each kind of ground")
    sheet.legend([(title_of(state), LOOKS[state]) for state in STATES], 2)
    _strip(sheet, winters, middles, step)
    letters = {id(winter): "" for winter in winters}
    for name, winter in named.items():
        if id(winter) in letters:
            letters[id(winter)] += name[0]
    _seasons(sheet, winters, middles, [letters[id(winter)] for winter in winters])
    for name, winter in named.items():
        sheet.said(f"{name[0]}: {name.lower()}, {winter.season}")
    sheet.heading(f"What that winter cost [{body['currency']} a year]")
    _dots(sheet, systems, winters, middles)
    for item in systems:
        sheet.key(item.title, item.look)
    if len(every) > len(winters):
        sheet.said(f"The last {len(winters)} of {len(every)} winters are drawn.")
    return " ".join(_told(body, systems, every, named))


def title_of(state: str) -> str:
    """Return what a kind of ground is called."""
    return TITLES.get(state, sentence(spoken(state)))


def _strip(
    sheet: Sheet, winters: Sequence[DrawnWinter], middles: Sequence[float], step: float
) -> None:
    longest = max(1.0, *(sum(winter.days.values()) for winter in winters))
    top = sheet.y + LINE
    scale = Scale(0, longest, top + STRIP, top)
    for tick in sheet.ticks(0, longest, 3):
        if tick <= longest:
            sheet.words(LEFT - 5, scale(tick) + 4, f"{tick:g}", size=SMALL, anchor="end")
            sheet.rule((LEFT, scale(tick)), (RIGHT, scale(tick)))
    wide = step * 0.86
    for state in reversed(STATES):
        boxes = [
            (
                middle - wide / 2,
                scale(_up_to(winter, state)),
                wide,
                _high(scale, winter.days[state]),
            )
            for middle, winter in zip(middles, winters, strict=True)
        ]
        sheet.areas([box for box in boxes if box[-1] > 0], LOOKS[state])
    for middle, winter in zip(middles, winters, strict=True):
        text = f"{winter.days['wet']:.0f}"
        if wide > width(text, SMALL) and _high(scale, winter.days["wet"]) > LINE:
            sheet.number(middle, top + STRIP - 4, text, LOOKS["wet"])
    sheet.y = top + STRIP


def _up_to(winter: DrawnWinter, state: str) -> float:
    """Return the days of a state and of those drawn below it."""
    return sum(winter.days[below] for below in STATES[STATES.index(state) :])


def _high(scale: Scale, days: float) -> float:
    return scale(0) - scale(days)


def _seasons(
    sheet: Sheet, winters: Sequence[DrawnWinter], middles: Sequence[float], letters: Sequence[str]
) -> None:
    texts = [winter.season[-SHORT_SEASON:] for winter in winters]
    long = max(width(text, SMALL) for text in texts)
    every = 1 + int(len(winters) * LINE / (RIGHT - LEFT))
    for number, (middle, text) in enumerate(zip(middles, texts, strict=True)):
        if (len(texts) - 1 - number) % every == 0:
            foot = sheet.y + long + 5
            sheet.words(middle + 4, foot, text, size=SMALL, turned=True)
    sheet.y += long + 5
    if any(letters):
        sheet.y += LINE + 2
        for middle, letter in zip(middles, letters, strict=True):
            sheet.words(middle, sheet.y, letter, bold=True, anchor="middle")


def _dots(
    sheet: Sheet, systems: Sequence[Shown], winters: Sequence[DrawnWinter], middles: Sequence[float]
) -> None:
    costs = [cost for winter in winters for cost in winter.costs]
    ticks = sheet.ticks(min(costs), max(costs))
    top = sheet.y + LINE
    scale = Scale(ticks[0], ticks[-1], top + DOTS, top)
    for tick in ticks:
        sheet.rule((LEFT, scale(tick)), (RIGHT, scale(tick)))
        sheet.words(
            LEFT - 5, scale(tick) + 4, f"{tick:,.0f}", size=SMALL, anchor="end", shade=QUIET
        )
    for place, item in reversed(list(enumerate(systems))):
        points = [
            (middle, scale(winter.costs[place]))
            for middle, winter in zip(middles, winters, strict=True)
        ]
        sheet.marks(points, item.look)
    sheet.y = top + DOTS + 4


def _told(
    body: Document,
    systems: Sequence[Shown],
    winters: Sequence[DrawnWinter],
    named: dict[str, Any],
) -> list[str]:
    days = ", ".join(
        f"{title_of(state).lower()} {min(w.days[state] for w in winters):.0f} to "
        f"{max(w.days[state] for w in winters):.0f}"
        for state in STATES
    )
    told = [f"{len(winters)} winters; days of ground: {days}."]
    told += [f"{name}: {winter.season}." for name, winter in named.items()]
    for place, item in enumerate(systems):
        dearest = max(winters, key=lambda winter: winter.costs[place])
        least = min(winter.costs[place] for winter in winters)
        told.append(
            f"{item.title}: {money(least)} to {money(dearest.costs[place])} {body['currency']} a "
            f"year, the most in {dearest.season}."
        )
    return [*told, *filter(None, [left_out(body)])]
