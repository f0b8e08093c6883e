"""The comparison as a table that a farmer can read: today first, money to the nearest hundred."""

from collections.abc import Iterator, Mapping
from typing import Any

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

Document = Mapping[str, Any]

NEAREST = 100
ALMOST_NONE = 0.05
COLUMN = 8
DISCLAIMER = (
    "Planning figures from the answers given here; not an engineering design, a permit, a grant "
    "decision, veterinary or tax advice."
)


def money(amount: float) -> str:
    """Return money to the nearest hundred, as pages show it."""
    rounded = round(amount / NEAREST) * NEAREST
    return f"{rounded:,.0f}"


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
    used = costing["inputs_used"]
    herd = ", ".join(
        f"{group['head']:g} {(group.get('title') or key).lower()}"
        for key, group in used["herd"].items()
    )
    winters = costing["winter"]["winters"]
    recorded = "1 winter" if winters == 1 else f"{winters} winters"
    return (
        f"{used.get('name') or 'This farm'}: {herd}; {costing['winter']['days']:.0f} days, "
        f"{recorded}; {costing['currency']} a year, edition {costing['reference_edition']}"
    )


def _table(costing: Document, systems: list[Document]) -> Table:
    """Return one column a system and one row a figure: it fits a narrow screen."""
    table = Table(
        box=SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
        padding=(0, 1, 0, 0),
        header_style="bold",
    )
    table.add_column(costing["currency"], vertical="bottom", no_wrap=True)
    for system in systems:
        table.add_column(system["title"], justify="right", vertical="bottom", width=COLUMN)
    columns = [dict(_figures(costing, system)) for system in systems]
    for title in columns[0]:
        table.add_row(title, *[column[title] for column in columns])
    return table


def _figures(costing: Document, system: Document) -> Iterator[tuple[str, str]]:
    quantities = system["quantities"]
    bales = quantities["bales"]
    yield "Year, all told", money(system["annual_equivalent_cost"])
    worst = max(row["annual_equivalent_cost"] for row in system["by_winter"])
    yield "  worst winter", money(worst)
    yield "Out of pocket", money(system["out_of_pocket"])
    yield "Up front", money(system["first_cost"])
    yield "Bales", f"{bales['needed_mean']:.0f}"
    yield "  in the worst", f"{bales['needed_worst']:.0f}"
    yield "  short", f"{bales['short_mean']:.0f}" if bales["short_mean"] > 0 else "-"
    yield "  spare", f"{bales['spare_mean']:.0f}" if bales["spare_mean"] > 0 else "-"
    yield "Hours a winter", f"{quantities['labor_hours']:.0f}"
    acres = sum(quantities["acres_damaged"].values())
    yield "Acres to fix", "0" if acres < ALMOST_NONE else f"{acres:.1f}"
    yield "Cheapest in", f"{system['cheapest_in_winters']} of {costing['winter']['winters']}"


def sentences(costing: Document, systems: list[Document]) -> Iterator[str]:
    """Say in words what the table does not: ties, cost-share, limits, guesses."""
    titles = {system["system"]: system["title"] for system in systems}
    best = next(item for item in systems if item["system"] == costing["best_system"])
    yield f"\nCheapest on average: {best['title']}, {money(best['annual_equivalent_cost'])} a year."
    yield from _ties(systems, titles)
    yield from _cost_share(systems)
    yield from _limits(systems)
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


def _ties(systems: list[Document], titles: Mapping[str, str]) -> Iterator[str]:
    seen: set[frozenset[str]] = set()
    for system in sorted(systems, key=lambda item: item["rank"]):
        for other in system["tie_with"]:
            pair = frozenset({system["system"], other})
            if pair not in seen:
                seen.add(pair)
                yield f"Too close to call on money: {system['title']} / {titles[other]}."


def _cost_share(systems: list[Document]) -> Iterator[str]:
    for system in systems:
        shared = sum(item["cost_share"] for item in system["structures"])
        if shared > 0:
            yield (
                f"{system['title']}: with the cost-share asked for ({money(shared)}); without it "
                f"{money(system['without_cost_share'])} a year. "
                f"{money(system['first_cost'])} is paid before any comes back."
            )


def _limits(systems: list[Document]) -> Iterator[str]:
    limited = [system for system in systems if system["limits"]]
    if not limited:
        return
    meets = [
        system["title"]
        for system in limited
        if all(limit["met"] for limit in system["limits"].values())
    ]
    within = "; ".join(meets) if meets else "none"
    yield f"Within all the limits stated: {within}."
