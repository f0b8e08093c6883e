"""Cash that one system takes in each year, with cost-share and without."""

from collections.abc import Mapping, Sequence

from service.reports.pictures.looks import INK, QUIET, WITH, WITHOUT, Fill
from service.reports.pictures.sheet import LINE, RIGHT, Scale, Sheet
from service.reports.pictures.shown import Document, one_system, title_of
from service.reports.pictures.wording import SMALL, money, width

LEFT = 58.0
HIGH = 190.0
PAID = "paid"
SHARED = "cost_share"
CLOSE = 0.5
"""Less than this of a difference is none [currency]."""


def paid_by_year(system: Document) -> list[float]:
    """Return the cash of each year from year 0 on, cost-share received taken off.

    A costing that does not tell it is split: each line's flow into kinds as its annual equivalent
    is. That is not exact where kinds of one line rise at different rates.
    """
    if "paid_by_year" in system:
        return list(system["paid_by_year"])
    years = len(system["lines"][0]["by_year"])
    total = [0.0] * years
    for line in system["lines"]:
        part = _part_paid(line["by_kind"])
        for year, amount in enumerate(line["by_year"]):
            total[year] += part * amount
    return total


def _part_paid(kinds: Mapping[str, float]) -> float:
    if set(kinds) <= {PAID}:
        return 1.0
    whole = sum(kinds.values())
    return kinds.get(PAID, 0.0) / whole if whole else 0.0


def is_split(system: Document, paid: Sequence[float]) -> bool:
    """Whether the cash of a year is not quite what the costing says of the first and the worst."""
    first = abs(sum(paid[:2]) - system["first_year_cash"])
    return max(first, abs(max(paid) - system["peak_yearly_cash"])) > CLOSE


def shared_by_year(system: Document) -> list[float]:
    """Return the cost-share of each year, below zero where it is received."""
    [line] = [line for line in system["lines"] if line["line"] == SHARED]
    return list(line["by_year"])


def draw(sheet: Sheet, body: Document, more: Document) -> str:
    """Draw the bars and return what they show."""
    system = one_system(body, more, body["best_system"])
    title = title_of(system)
    paid = paid_by_year(system)
    shared = shared_by_year(system)
    without = [amount - share for amount, share in zip(paid, shared, strict=True)]
    has_share = any(abs(share) > CLOSE for share in shared)
    series = [(paid, WITH), (without, WITHOUT)] if has_share else [(paid, WITH)]
    sheet.said(title, shade=INK, size=11)
    sheet.said(f"{body['currency']} at today's prices, out of pocket; below the line: received.")
    names = ["With cost-share", "Without cost-share"] if has_share else ["Cash paid"]
    sheet.legend(list(zip(names, (WITH, WITHOUT), strict=False)), 2)
    sheet.y += LINE
    _bars(sheet, series)
    sheet.said(
        "Year 0 is before the first winter. In the last year what built things are still worth "
        "counts as received."
    )
    if is_split(system, paid):
        sheet.said("Work and machines rise at different rates, so a year may be off a little.")
    return _told(title, body["currency"], paid, without if has_share else None)


def _bars(sheet: Sheet, series: Sequence[tuple[list[float], Fill]]) -> None:
    amounts = [amount for values, _ in series for amount in values]
    ticks = sheet.ticks(min(0.0, *amounts), max(1.0, *amounts))
    top = sheet.y + LINE
    up = Scale(ticks[0], ticks[-1], top + HIGH, top)
    for tick in ticks:
        sheet.rule((LEFT, up(tick)), (RIGHT, up(tick)))
        sheet.words(LEFT - 5, up(tick) + 4, f"{tick:,.0f}", size=SMALL, anchor="end", shade=QUIET)
    years = len(series[0][0])
    step = (RIGHT - LEFT) / years
    wide = step * 0.84 / len(series)
    for place, (values, fill) in enumerate(series):
        starts = [LEFT + step * (year + 0.08) + place * wide for year in range(years)]
        sheet.areas(
            [
                (x, min(up(0), up(amount)), wide, abs(up(0) - up(amount)))
                for x, amount in zip(starts, values, strict=True)
            ],
            fill,
        )
    sheet.line([(LEFT, up(0)), (RIGHT, up(0))], INK, 1.2)
    _worst(sheet, series[0][0], step, up)
    every = 1 + int(years * 16 / (RIGHT - LEFT))
    for year in range(0, years, every):
        x = LEFT + step * (year + 0.5)
        sheet.words(x, top + HIGH + LINE, str(year), size=SMALL, anchor="middle")
    sheet.y = top + HIGH + LINE
    sheet.y += LINE
    sheet.words((LEFT + RIGHT) / 2, sheet.y, "Year", size=SMALL, anchor="middle")


def worst_year(paid: Sequence[float]) -> int:
    """Return the year that takes the most cash, the first of those alike."""
    return max(range(len(paid)), key=lambda year: (paid[year], -year))


def _worst(sheet: Sheet, paid: list[float], step: float, up: Scale) -> None:
    year = worst_year(paid)
    text = f"worst: year {year}, {money(paid[year])}"
    x, y = LEFT + step * (year + 0.5), up(paid[year]) - 4
    sheet.shape([(x - 4, y - 7), (x + 4, y - 7), (x, y)], Fill(INK))
    wide = width(text, SMALL, bold=True)
    if x + wide + 8 < RIGHT:
        sheet.words(x + 8, y, text, size=SMALL, bold=True)
    else:
        sheet.words(x - 8, y, text, size=SMALL, bold=True, anchor="end")


def _told(title: str, currency: str, paid: list[float], without: list[float] | None) -> str:
    worst = worst_year(paid)
    usual = sorted(paid)[len(paid) // 2]
    told = (
        f"{title}: cash of years 0 to {len(paid) - 1}, in {currency}: {money(paid[0])} in year 0, "
        f"{money(usual)} in the middle one by size, the worst is year {worst} with "
        f"{money(paid[worst])}."
    )
    if without is not None:
        told += (
            f" Without cost-share the worst is year {worst_year(without)} with "
            f"{money(max(without))}, and {money(sum(without) - sum(paid))} more are paid in all."
        )
    return told
