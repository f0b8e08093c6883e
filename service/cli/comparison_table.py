"""The comparison as a table that a farmer can read: today first, money to the nearest hundred."""

from collections.abc import Iterator, Mapping
from typing import Any

from rich.console import Console
from rich.table import Table

from service.cli.terminal import plain_table
from service.web.pages.systems_compared import (
    DISCLAIMER,
    cost_shares,
    figures,
    herd_in_words,
    money,
    ties,
    winters_in_words,
    within_limits,
)

Document = Mapping[str, Any]

COLUMN = 8
INDENT = "  "


def show_comparison(console: Console, costing: Document) -> None:
    """Print a costing: the table, ties in words, shortfalls, and what to check first."""
    systems = _today_first(costing)
    console.print(_heading(costing), style="bold")
    console.print(_table(costing, systems))
    for sentence in sentences(costing, systems):
        console.print(sentence)
    console.print()
    console.print(DISCLAIMER, style="italic")


def _today_first(costing: Document) -> list[Document]:
    baseline = costing["comparison"]["baseline"]
    return sorted(costing["systems"], key=lambda system: system["system"] != baseline)


def _heading(costing: Document) -> str:
    name = costing["inputs_used"].get("name") or "This farm"
    return (
        f"{name}: {herd_in_words(costing)}; {costing['winter']['days']:.0f} days, "
        f"{winters_in_words(costing)}; {costing['currency']} a year, "
        f"edition {costing['reference_edition']}"
    )


def _table(costing: Document, systems: list[Document]) -> Table:
    """Return one column a system and one row a figure: it fits a narrow screen."""
    table = plain_table()
    table.add_column(costing["currency"], vertical="bottom", no_wrap=True)
    for system in systems:
        table.add_column(system["title"], justify="right", vertical="bottom", width=COLUMN)
    for row in zip(*(figures(costing, system) for system in systems), strict=True):
        first = row[0]
        title = INDENT + first.title if first.below else first.title
        table.add_row(title, *[figure.text for figure in row])
    return table


def sentences(costing: Document, systems: list[Document]) -> Iterator[str]:
    """Say in words what the table does not: ties, cost-share, limits, guesses."""
    best = next(item for item in systems if item["system"] == costing["best_system"])
    yield f"\nCheapest on average: {best['title']}, {money(best['annual_equivalent_cost'])} a year."
    for one, other in ties(systems):
        yield f"Too close to call on money: {one} / {other}."
    for shared in cost_shares(systems):
        yield (
            f"{shared.title}: with the cost-share asked for ({shared.asked_for}); without it "
            f"{shared.without} a year. {shared.up_front} is paid before any comes back."
        )
    meets = within_limits(systems)
    if meets is not None:
        yield f"Within all the limits stated: {'; '.join(meets) if meets else 'none'}."
    guesses = costing["check_first"]
    if guesses:
        yield "\nCheck these first (they were not given):"
    for number, guess in enumerate(guesses, start=1):
        changes = " - could change the cheapest" if guess["changes_best"] else ""
        yield (
            f"  {number}. {guess['meaning'].rstrip('.')} ({guess['input']}): taken as "
            f"{guess['usual']:g}, may be {guess['low']:g} to {guess['high']:g} {guess['unit']}"
            f"{changes}.\n     {guess['find_out']}"
        )
