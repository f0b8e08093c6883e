"""Where the bales go under one system: on hand or to get, stored, offered, eaten."""

from dataclasses import dataclass

from service.costing.units import POUNDS_PER_TON
from service.reports.pictures.looks import HAY, QUIET, Fill
from service.reports.pictures.sheet import LEFT, LINE, RIGHT, Scale, Sheet
from service.reports.pictures.shown import Document, one_system, title_of
from service.reports.pictures.wording import fitted

HIGH = 150.0
BLOCK = 13.0
LABELS = 32.0
DROP = 26.0
NECK = 24.0


@dataclass(frozen=True, slots=True)
class Bales:
    """Bales of one system in the mean of the winters."""

    first: str
    """What the first source is called."""
    second: str
    from_first: float
    from_second: float
    stored: float
    rotted: float
    wasted: float
    eaten: float
    late: float
    """Fed in late summer, because grass is shut; not in the others."""
    on_hand: float

    @property
    def offered(self) -> float:
        """Bales put before animals."""
        return self.stored - self.rotted


def bales_of(body: Document, system: Document) -> Bales:
    """Return the bales of a system.

    Where bales on hand are stated they are the first source and what is missing the second;
    otherwise what the farm makes, by its share of the hay, and what it buys.
    """
    hay, found = body["inputs_used"]["hay"], system["quantities"]
    bale = hay["bale_weight_lb"] / POUNDS_PER_TON
    stored = found["hay_needed_ton"] / bale
    on_hand = found["bales"]["on_hand"]
    if on_hand > 0:
        names = ("on hand", "still to get")
        first = min(stored, on_hand)
    else:
        names = ("made", "bought")
        first = found["hay_home_grown_ton"] / bale
    dry = bale * hay["dry_matter_fraction"]
    return Bales(
        *names,
        from_first=first,
        from_second=stored - first,
        stored=stored,
        rotted=found["hay_lost_in_storage_ton_dm"] / dry,
        wasted=found["hay_wasted_ton_dm"] / dry,
        eaten=found["hay_eaten_ton_dm"] / dry,
        late=found["late_summer_hay_ton"] / bale,
        on_hand=on_hand,
    )


def draw(sheet: Sheet, body: Document, more: Document) -> str:
    """Draw the flow and return what it shows."""
    system = one_system(body, more, body["comparison"]["baseline"])
    bales = bales_of(body, system)
    title = title_of(system)
    weight = body["inputs_used"]["hay"]["bale_weight_lb"]
    sheet.said(title, shade=QUIET, size=11)
    top = sheet.y + LABELS + 10
    high = Scale(0, max(bales.stored, 1), 0, HIGH)
    steps = [LEFT + number * (RIGHT - LEFT - BLOCK) / 3 for number in range(4)]
    _source(sheet, bales, steps, top, high)
    lost = [(bales.stored, bales.rotted, "rot"), (bales.offered, bales.wasted, "trampled")]
    for number, (whole, part, word) in enumerate(lost, 1):
        _onward(sheet, steps[number : number + 2], top, high, (whole, part), word)
    heads = ["", "stored", "offered", "eaten"]
    amounts = [0, bales.stored, bales.offered, bales.eaten]
    for number in range(1, 4):
        x, anchor = _edge(steps, number)
        sheet.words(x, top - 19, heads[number], size=11, anchor=anchor)
        sheet.words(x, top - 5, f"{amounts[number]:,.0f}", bold=True, anchor=anchor)
        sheet.area(steps[number], top, BLOCK, high(amounts[number]), HAY["block"])
    sheet.y = top + HIGH + DROP + LINE + 6
    sheet.said(f"Bales of {weight:,.0f} lb in the mean of the winters.")
    if bales.late > 0:
        sheet.said(
            f"{bales.late:,.0f} more are fed in late summer, because grass is shut for winter."
        )
    return _told(title, bales)


def _edge(steps: list[float], number: int) -> tuple[float, str]:
    if number == len(steps) - 1:
        return steps[number] + BLOCK, "end"
    return steps[number] + BLOCK / 2, "middle"


def _source(sheet: Sheet, bales: Bales, steps: list[float], top: float, high: Scale) -> None:
    y, target = top, top
    gap = 12.0 if bales.from_first > 0 and bales.from_second > 0 else 0.0
    room = steps[1] - LEFT - BLOCK - 14
    sources = [
        (bales.first, bales.from_first, HAY["first"]),
        (bales.second, bales.from_second, HAY["second"]),
    ]
    for name, amount, fill in sources:
        if amount <= 0:
            continue
        tall = high(amount)
        _band(sheet, (LEFT + BLOCK, y), (steps[1], target), tall, HAY["kept"])
        sheet.area(LEFT, y, BLOCK, tall, fill)
        middle = y + tall / 2
        sheet.words(LEFT + BLOCK + 5, middle - 2, fitted(name, room), size=11)
        sheet.words(LEFT + BLOCK + 5, middle + 12, f"{amount:,.0f}", bold=True)
        y += tall + gap
        target += tall


def _band(
    sheet: Sheet, start: tuple[float, float], end: tuple[float, float], tall: float, fill: Fill
) -> None:
    sheet.shape([start, end, (end[0], end[1] + tall), (start[0], start[1] + tall)], fill)


def _onward(
    sheet: Sheet,
    steps: list[float],
    top: float,
    high: Scale,
    amounts: tuple[float, float],
    word: str,
) -> None:
    """Draw what goes on, and what is lost on the way and drops out below."""
    whole, part = amounts
    start, end = steps[0] + BLOCK, steps[1]
    kept, lost, whole_high = high(whole - part), high(part), high(whole)
    _band(sheet, (start, top), (end, top), kept, HAY["kept"])
    foot = top + HIGH + DROP
    x = start + NECK
    if lost > 0:
        bend = (x + lost / 2, top + kept + lost / 2)
        down = [bend, (bend[0], foot), (x - 2, foot), (x - 2, top + whole_high)]
        sheet.shape([(start, top + kept), *down, (start, top + whole_high)], HAY["lost"])
    sheet.words(start + 4, foot + LINE, f"{part:,.0f} {word}", size=11, bold=True)


def _told(title: str, bales: Bales) -> str:
    spare = bales.on_hand - bales.stored
    sources = f"{bales.from_first:,.0f} {bales.first}, {bales.from_second:,.0f} {bales.second}"
    told = (
        f"{title}: {bales.stored:,.0f} bales are needed in store ({sources}); "
        f"{bales.rotted:,.0f} rot there, {bales.offered:,.0f} are offered, "
        f"{bales.wasted:,.0f} are trampled or left, {bales.eaten:,.0f} are eaten."
    )
    if bales.on_hand > 0 and spare > 0:
        told += f" {spare:,.0f} on hand are spare."
    if bales.late > 0:
        told += f" {bales.late:,.0f} more are fed in late summer."
    return told
