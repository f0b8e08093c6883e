"""The sheets of words: how each line is computed, and what to mind."""

from collections.abc import Iterator, Mapping
from typing import Any

from service.costing.caution_table import MUST
from service.costing.lines import GROUPS, LINES
from service.costing.reference.table import load_edition
from service.costing.wording import sentence, spoken
from service.reports.results_workbook.line_workings import (
    KINDS,
    LINE_FORMULAS,
    MACHINE_RATES,
    OF_ALL_LINES,
    steps_of,
)
from service.reports.results_workbook.sheet_writer import HEAD, WRAPPED, Book, SheetWriter

Document = Mapping[str, Any]

HOW_COMPUTED, CAUTIONS = "How computed", "Cautions"
EVERY_LINE, MACHINES, KIND = "Every line", "An hour of an owned machine", "Kind of money"
SAID = {
    "shortfalls": "Runs short",
    "warnings": "Unusual",
    "notes": "Worth knowing",
}
"""What stands beside the numbers of a system, besides cautions, and what it is called."""

MIND = {True: "Must", False: "Should"}
OF_THE_INPUTS = "All"


def add_how_computed(book: Book, body: Document) -> None:
    """Add what each line is and the formulas that it is worked by, in words."""
    writer = SheetWriter.added(book, HOW_COMPUTED, body["currency"])
    writer.write_row(0, ("Line", "Group", "What it is", "Worked", "As"), HEAD)
    widths = (28, 28, 48, 34, 80)
    for row, values in enumerate(_workings(), start=1):
        writer.write_wrapped(row, values, widths, WRAPPED)
    writer.keep_head()
    writer.widths(*widths)


def _workings() -> Iterator[tuple[str | None, ...]]:
    for key, line in LINES.items():
        about: tuple[str | None, ...] = (line.title, GROUPS[line.group], line.meaning)
        for step in steps_of(LINE_FORMULAS[key]):
            yield (*about, step.gives, step.words)
            about = (line.title, None, None)
    for title, formulas in ((MACHINES, MACHINE_RATES), (EVERY_LINE, OF_ALL_LINES)):
        for step in steps_of(formulas):
            yield (title, None, None, step.gives, step.words)
    for kind, meaning in KINDS.items():
        yield (KIND, None, meaning, sentence(spoken(kind)), None)


def add_cautions(book: Book, body: Document) -> None:
    """Add what to mind, the musts first: each once, with the systems that it is about."""
    writer = SheetWriter.added(book, CAUTIONS, body["currency"])
    heads = ("Kind", "What to mind", "Brought up by", "Systems", "Source", "Where in the source")
    writer.write_row(0, heads, HEAD)
    widths = (14, 80, 50, 40, 50, 40)
    for row, values in enumerate(_said(body), start=1):
        writer.write_wrapped(row, values, widths, WRAPPED)
    writer.keep_head()
    writer.widths(*widths)


def _said(body: Document) -> Iterator[tuple[str | None, ...]]:
    sources = load_edition(body["reference_edition"]).sources
    cautions = _gathered(body, "cautions")
    for caution, titles in sorted(cautions, key=lambda item: item[0]["rank"] != MUST):
        source = sources.get(caution["source"])
        yield (
            MIND[caution["rank"] == MUST],
            caution["sentence"],
            caution["trigger"],
            titles,
            None if source is None else source.in_words,
            caution["where"],
        )
    for warning in body["warnings"]:
        yield (SAID["warnings"], warning["sentence"], None, OF_THE_INPUTS, None, None)
    for member, kind in SAID.items():
        for said, titles in _gathered(body, member):
            yield (kind, said["sentence"], None, titles, None, None)


def _gathered(body: Document, member: str) -> list[tuple[Document, str]]:
    """Return what several systems have word for word once, with the titles of all of them."""
    first: dict[tuple[str, str], Document] = {}
    titles: dict[tuple[str, str], list[str]] = {}
    for system in body["systems"]:
        for said in system[member]:
            key = (said["sentence"], said.get("trigger", ""))
            first.setdefault(key, said)
            about = titles.setdefault(key, [])
            if system["title"] not in about:
                about.append(system["title"])
    return [(said, "; ".join(titles[key])) for key, said in first.items()]
