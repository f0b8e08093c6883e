"""What the page that a farmer opens says, drawn from a costing and the notes beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from service.costing.reference.table import Source, load_edition
from service.scenarios.records import CostingSummary, Note
from service.web.pages import systems_compared as compared

Document = Mapping[str, Any]

UNNAMED = "This farm"
BY_MARGIN = "farm_margin"


@dataclass(frozen=True, slots=True)
class Answer:
    """The short answer: which system is the cheapest, and by how much."""

    best: str
    cost: str
    baseline: str
    saved: str
    """Against the baseline, per year; empty where the best is the baseline."""
    margin: str
    """What it leaves the farm, where herds differ and systems are ranked by that."""
    too_close: list[str]
    """Systems that the best cannot be told from on money."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure, and what more is said about it below."""

    title: str
    text: str
    below: list[compared.ShownFigure]


@dataclass(frozen=True, slots=True)
class ShownSystem:
    """One row of the table."""

    title: str
    is_baseline: bool
    cells: list[Cell]


@dataclass(frozen=True, slots=True)
class ShownCaution:
    """Something to mind before building or doing."""

    sentence: str
    systems: list[str]
    """Those that it is about, where they are few."""
    all_but: list[str]
    """Those that it is not about, where they are fewer."""
    source: str


@dataclass(frozen=True, slots=True)
class ShownGuess:
    """A figure that nobody gave and that is worth finding out."""

    meaning: str
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
class FarmPage:
    """All that the page says."""

    name: str
    herd: str
    days: str
    winters: str
    currency: str
    answer: Answer
    systems: list[ShownSystem]
    ties: list[tuple[str, str]]
    cost_shares: list[compared.ShownCostShare]
    within_limits: list[str] | None
    check_first: list[ShownGuess]
    musts: list[ShownCaution]
    shoulds: list[ShownCaution]
    warnings: Sequence[str]
    notes: list[ShownNote]
    revision: int
    costed_on: str
    engine: str
    edition: str
    link_ends: str
    disclaimer: str = compared.DISCLAIMER


def farm_page(
    costing: Document, stored: CostingSummary, notes: Sequence[Note], link_ends: datetime
) -> FarmPage:
    """Return what the page says.

    Parameters
    ----------
    costing : dict
        The costing as it was answered.
    stored : CostingSummary
        What is kept of it: revision, engine, edition, day.
    notes : sequence of Note
        The newest last.
    link_ends : datetime
        When the link stops working.
    """
    systems = compared.by_rank(costing)
    cautions = _cautions(costing, systems)
    answer = _answer(costing, systems)
    return FarmPage(
        name=costing["inputs_used"].get("name") or UNNAMED,
        herd=compared.herd_in_words(costing),
        days=f"{costing['winter']['days']:.0f}",
        winters=compared.winters_in_words(costing),
        currency=costing["currency"],
        answer=answer,
        systems=[_shown(costing, system) for system in systems],
        ties=[pair for pair in compared.ties(systems) if answer.best not in pair],
        cost_shares=list(compared.cost_shares(systems)),
        within_limits=compared.within_limits(systems),
        check_first=[_guess(found) for found in costing["check_first"]],
        musts=[caution for rank, caution in cautions if rank == "must"],
        shoulds=[caution for rank, caution in cautions if rank != "must"],
        warnings=costing["warnings"],
        notes=[_note(note) for note in reversed(notes)],
        revision=stored.revision,
        costed_on=day(stored.created_at),
        engine=stored.engine_version,
        edition=stored.reference_edition,
        link_ends=day(link_ends),
    )


def day(at: datetime) -> str:
    """Return a day as people write it."""
    return f"{at.day} {at:%B %Y}"


def _answer(costing: Document, systems: Sequence[Document]) -> Answer:
    titles = {system["system"]: system["title"] for system in systems}
    best = next(system for system in systems if system["system"] == costing["best_system"])
    baseline = next(
        system for system in systems if system["system"] == costing["comparison"]["baseline"]
    )
    saved = baseline["annual_equivalent_cost"] - best["annual_equivalent_cost"]
    by_margin = costing["ranked_by"] == BY_MARGIN
    return Answer(
        best=best["title"],
        cost=compared.money(best["annual_equivalent_cost"]),
        baseline=baseline["title"],
        saved="" if best is baseline or by_margin else compared.money(saved),
        margin=compared.money(best["farm_margin"]) if by_margin else "",
        too_close=[titles[key] for key in best["tie_with"]],
    )


def _shown(costing: Document, system: Document) -> ShownSystem:
    cells: list[Cell] = []
    for figure in compared.figures(costing, system):
        if not figure.below:
            cells.append(Cell(figure.title, figure.text, []))
        elif figure.text != compared.NONE:
            cells[-1].below.append(figure)
    if costing["ranked_by"] == BY_MARGIN:
        cells.insert(0, Cell("Left to the farm", compared.money(system["farm_margin"]), []))
    return ShownSystem(
        title=system["title"],
        is_baseline=system["system"] == costing["comparison"]["baseline"],
        cells=cells,
    )


def _cautions(costing: Document, systems: Sequence[Document]) -> list[tuple[str, ShownCaution]]:
    """Return each sentence once, with its rank and the systems that it is about."""
    sources = load_edition(costing["reference_edition"]).sources
    first: dict[str, Document] = {}
    about: dict[str, list[str]] = {}
    for system in systems:
        for caution in system["cautions"]:
            first.setdefault(caution["sentence"], caution)
            about.setdefault(caution["sentence"], []).append(system["title"])
    titles = [system["title"] for system in systems]
    return [
        (
            caution["rank"],
            _caution(caution, about[sentence], titles, sources.get(caution["source"])),
        )
        for sentence, caution in first.items()
    ]


def _caution(
    caution: Document, about: list[str], titles: Sequence[str], source: Source | None
) -> ShownCaution:
    others = [title for title in titles if title not in about]
    few = len(about) <= len(others)
    return ShownCaution(
        sentence=caution["sentence"],
        systems=about if few else [],
        all_but=[] if few else others,
        source=_cited(source, caution["where"]),
    )


def _cited(source: Source | None, where: str) -> str:
    if source is None:
        return where
    parts = (source.author, str(source.year or ""), source.title, where)
    return ", ".join(part for part in parts if part)


def _guess(found: Document) -> ShownGuess:
    is_share = found["unit"] == "fraction"
    said = _percent if is_share else _plain
    return ShownGuess(
        meaning=found["meaning"],
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
