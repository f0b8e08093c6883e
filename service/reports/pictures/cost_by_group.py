"""What a year costs under each system, by what the money goes to: one stacked bar a system."""

from service.costing.lines import GROUPS
from service.reports.pictures.looks import GROUPS as LOOKS
from service.reports.pictures.looks import INK
from service.reports.pictures.sheet import LEFT, LINE, RIGHT, ROOM, Scale, Sheet
from service.reports.pictures.shown import Document, Shown, left_out, shown_systems
from service.reports.pictures.wording import SMALL, fitted, money, width

BAR = 17.0
GAP = 7.0


def draw(sheet: Sheet, body: Document, _: Document) -> str:
    """Draw the bars and return what they show."""
    systems = shown_systems(body)
    parts = {item.key: parts_of(item) for item in systems}
    below = {key: sum(below for _, below in found.values()) for key, found in parts.items()}
    above = {key: sum(above for above, _ in found.values()) for key, found in parts.items()}
    scale = Scale(min(0.0, *below.values()), max(1.0, *above.values()), LEFT, RIGHT)
    sheet.said(f"{body['currency']} a year, to the nearest 100; today's system on top.")
    named = [(GROUPS[group], LOOKS[group]) for group in GROUPS]
    sheet.legend(named[:-1], 2)
    sheet.legend(named[-1:], 1)
    for item in systems:
        _bar(sheet, item, parts[item.key], scale)
    sheet.y += 3
    if any(below.values()):
        sheet.said(
            "Left of the upright strokes: money that comes back or is saved (cost-share, the worth "
            "of manure). The figure at the right is what is left of both."
        )
    return " ".join([*(_told(item, parts[item.key]) for item in systems), left_out(body)]).strip()


def parts_of(item: Shown) -> dict[str, tuple[float, float]]:
    """Return what each group adds to the cost of a system, and what it takes off (below zero)."""
    found: dict[str, tuple[float, float]] = {}
    for group in GROUPS:
        amounts = [
            line["annual_equivalent"] for line in item.document["lines"] if line["group"] == group
        ]
        found[group] = (
            sum(amount for amount in amounts if amount > 0),
            sum(amount for amount in amounts if amount < 0),
        )
    return found


def _bar(sheet: Sheet, item: Shown, parts: dict[str, tuple[float, float]], scale: Scale) -> None:
    sheet.y += GAP + LINE
    whole = money(item.document["annual_equivalent_cost"])
    room = ROOM - width(whole, 11, bold=True) - GAP
    sheet.words(LEFT, sheet.y, fitted(item.title, room))
    sheet.words(RIGHT, sheet.y, whole, bold=True, anchor="end")
    sheet.y += 4
    right = left = 0.0
    for group, (above, below) in parts.items():
        for start, amount in ((right, above), (left, below)):
            ends = sorted((scale(start), scale(start + amount)))
            long = ends[1] - ends[0]
            sheet.area(ends[0], sheet.y, long, BAR, LOOKS[group])
            text = money(amount)
            if long > width(text, SMALL):
                sheet.number(sum(ends) / 2, sheet.y + BAR - 5, text, LOOKS[group])
        right, left = right + above, left + below
    sheet.line([(scale(0), sheet.y - 3), (scale(0), sheet.y + BAR + 3)], INK, 1.6)
    sheet.y += BAR


def _told(item: Shown, parts: dict[str, tuple[float, float]]) -> str:
    split = ", ".join(
        f"{GROUPS[group].split(',')[0].lower()} {money(above + below)}"
        for group, (above, below) in parts.items()
    )
    return f"{item.title}: {money(item.document['annual_equivalent_cost'])} a year ({split})."
