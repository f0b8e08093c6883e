"""What the page that a farmer opens says, drawn from a costing and what was asked of it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from markupsafe import Markup

from service.costing.wording import amount, share, spoken
from service.scenarios.records import Note
from service.season.plan.card import ground_cards
from service.season.plan.card_records import GroundCard
from service.web.pages.cautions_shown import ShownCaution, cautions_shown
from service.web.pages.columns import Column, chosen, columns_of, left_out
from service.web.pages.figure_rows import FigureRow, rows_of
from service.web.pages.money_today import MoneyToday, money_today
from service.web.pages.next_dates import next_dates
from service.web.pages.page_pictures import ShownPicture
from service.web.pages.short_answer import short_answer
from service.web.pages.systems_compared import (
    DISCLAIMER,
    by_rank,
    cost_shares,
    herd_in_words,
    money,
    winters_in_words,
)
from service.web.pages.what_changes import Asked, Change, what_changes
from service.web.pages.what_if import WhatIf
from service.web.pages.wording import in_words, names_of, said_day, with_currency

Document = Mapping[str, Any]

UNNAMED = "This farm"
BALES = "bales"


@dataclass(frozen=True, slots=True)
class ShownCostShare:
    """A system shown before the cost-share that it hopes for."""

    title: str
    year: str
    """With it."""
    up_front: str
    back: str


@dataclass(frozen=True, slots=True)
class ShownShortfall:
    """Something that a system has too little of."""

    sentence: str
    in_short: str
    systems: list[str]
    of_chosen: bool


@dataclass(frozen=True, slots=True)
class ShownGuess:
    """A figure that nobody gave and that is worth finding out."""

    what: str
    usual: str
    low: str
    high: str
    unit: str
    changes_best: bool
    find_out: str


@dataclass(frozen=True, slots=True)
class ShownNote:
    """A remark."""

    text: str
    author: str
    day: str
    about: str


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What the page knows beside the costing; nothing of it where the costing is not kept."""

    revision: int | None = None
    costed_on: str = ""
    link_ends: str = ""
    notes: Sequence[Note] = ()
    how_made: str = ""
    """Address of how each number was made."""
    seasons: Sequence[tuple[str, str]] = ()
    """Addresses of plan, card and calendar but for the system, and what each is called."""
    what_if: WhatIf | None = None
    """The form, where the page has one."""
    changed: Sequence[str] = ()
    """What is different from the farm as it is kept, where the page has no form."""

    @property
    def told(self) -> Sequence[str]:
        """What is different from the farm as it is kept."""
        return self.changed if self.what_if is None else self.what_if.told


@dataclass(frozen=True, slots=True)
class FarmPage:
    """All that the page says."""

    name: str
    herd: str
    days: str
    winters: str
    currency: str
    by_margin: bool
    answer: list[Markup]
    columns: list[Column]
    rows: list[FigureRow]
    left_out: list[str]
    ties: list[Markup]
    """Pairs too close to call, beside those with the best."""
    cost_shares: list[ShownCostShare]
    hopes_won: bool
    """Whether a system that hopes for cost-share is the cheapest in some winter."""
    shortfalls: list[ShownShortfall]
    money_today: MoneyToday
    changes: list[Change]
    check_first: list[ShownGuess]
    cautions: list[ShownCaution]
    next_dates: list[Markup]
    chosen: str
    chosen_key: str
    card: Sequence[GroundCard]
    pictures: Sequence[ShownPicture]
    warnings: Sequence[str]
    notes: list[ShownNote]
    engine: str
    edition: str
    more: Circumstances
    disclaimer: str = DISCLAIMER


def farm_page(
    costing: Document,
    more: Circumstances,
    asked: Asked | None,
    pictures: Sequence[ShownPicture],
) -> FarmPage:
    """Return what the page says.

    Parameters
    ----------
    costing : mapping
        The costing as it was answered.
    more : Circumstances
        What is known beside it.
    asked : Asked, optional
        What was asked of the costing; not asked of a what-if.
    pictures : sequence of ShownPicture
        As they are to be shown.
    """
    columns = columns_of(costing)
    system = chosen(costing)
    return FarmPage(
        name=costing["inputs_used"].get("name") or UNNAMED,
        herd=herd_in_words(costing),
        days=f"{costing['winter']['days']:.0f}",
        winters=_winters(costing),
        currency=costing["currency"],
        by_margin=costing["ranked_by"] == "farm_margin",
        answer=short_answer(costing),
        columns=columns,
        rows=rows_of(costing, columns),
        left_out=left_out(costing, columns),
        ties=_ties(costing),
        cost_shares=_cost_shares(costing, columns),
        hopes_won=any(
            column.is_starred and column.system["cheapest_in_winters"] for column in columns
        ),
        shortfalls=_shortfalls(columns, system),
        money_today=money_today(costing),
        changes=what_changes(costing, columns, asked) if asked else [],
        check_first=[_guess(found) for found in costing["check_first"]],
        cautions=cautions_shown(costing, by_rank(costing)),
        next_dates=next_dates(costing, system),
        chosen=system["title"],
        chosen_key=system["system"],
        card=ground_cards(costing, system),
        pictures=pictures,
        warnings=[warning["sentence"] for warning in costing["warnings"]],
        notes=[_note(note) for note in reversed(more.notes)],
        engine=costing["engine_version"],
        edition=costing["reference_edition"],
        more=more,
    )


def day(at: datetime) -> str:
    """Return a day as people write it."""
    return f"{said_day(at.date())} {at.year}"


def _winters(costing: Document) -> str:
    words = winters_in_words(costing)
    return f"{words} of a weather record" if "weather_record" in costing["winter"] else words


def _ties(costing: Document) -> list[Markup]:
    names = names_of(costing)
    pairs = {
        frozenset((system["system"], other)): (system["system"], other)
        for system in reversed(by_rank(costing))
        for other in system["tie_with"]
    }
    best = costing["best_system"]
    return [
        in_words(names[key] for key in pair)
        for both, pair in reversed(pairs.items())
        if best not in both
    ]


def _cost_shares(costing: Document, columns: Iterable[Column]) -> list[ShownCostShare]:
    def said(amount: str) -> str:
        return with_currency(amount, costing["currency"])

    starred = {column.title: column for column in columns if column.is_starred}
    return [
        ShownCostShare(
            title=share.title,
            year=said(money(starred[share.title].system["annual_equivalent_cost"])),
            up_front=said(share.up_front),
            back=said(share.asked_for),
        )
        for share in cost_shares([column.system for column in starred.values()])
    ]


def _shortfalls(columns: Sequence[Column], system: Document) -> list[ShownShortfall]:
    """Return what is short beside bales, which stand in the table; each sentence once."""
    about: dict[str, list[Column]] = {}
    first: dict[str, Document] = {}
    for column in columns:
        for found in column.system["shortfalls"]:
            if found["shortfall"] != BALES:
                about.setdefault(found["sentence"], []).append(column)
                first.setdefault(found["sentence"], found)
    return [
        ShownShortfall(
            sentence,
            _in_short(first[sentence]),
            [] if len(found) == len(columns) else [column.title for column in found],
            any(column.key == system["system"] for column in found),
        )
        for sentence, found in about.items()
    ]


def _in_short(found: Document) -> str:
    """Return a shortfall in few words."""
    what = spoken(found["shortfall"])
    if "size_by_rule" in found:
        return f"{what} {amount(found['size'])} of {amount(found['size_by_rule'])}"
    if found["unit"] == "fraction":
        return f"{what} for {share(found['value'])} of those that use it"
    return f"{what} {amount(found['value'])} {found['unit']}"


def _guess(found: Document) -> ShownGuess:
    is_share = found["unit"] == "fraction"
    said: Callable[[float], str] = _percent if is_share else _plain
    about = ", ".join(spoken(name) for name in found["input"].split(".")[1:2])
    return ShownGuess(
        what=f"{about}: {found['meaning'].rstrip('.')}",
        usual=said(found["usual"]),
        low=said(found["low"]),
        high=said(found["high"]),
        unit="" if is_share else found["unit"],
        changes_best=found["changes_best"],
        find_out=found["find_out"],
    )


def _percent(fraction: float) -> str:
    return f"{100 * fraction:g} %"


def _plain(value: float) -> str:
    return f"{value:,g}"


def _note(note: Note) -> ShownNote:
    return ShownNote(
        text=note.body,
        author=note.author_label,
        day=day(note.created_at),
        about=note.input_path or "",
    )
