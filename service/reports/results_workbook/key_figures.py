"""The key figures of the summary, and the names under which formulas find them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.reports.tables.figure_paths import system_figures
from service.reports.tables.table import in_currency

Document = Mapping[str, Any]

BEST, BASELINE = "best", "baseline"
BEST_SYSTEM = "best_system"
WINTER_DAYS = "winter_days"
ACRES = "quantities.acres_damaged"


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One row of the summary.

    ``name`` followed by the key of a system is a defined name of the workbook.
    """

    path: str
    name: str
    title: str


KEY_FIGURES = (
    KeyFigure("annual_equivalent_cost", "annual_equivalent_cost", "Annual equivalent cost"),
    KeyFigure("rank", "rank", "Rank, 1 is the cheapest"),
    KeyFigure("out_of_pocket", "out_of_pocket", "Out of pocket"),
    KeyFigure("without_cost_share", "without_cost_share", "Annual cost if no cost-share comes"),
    KeyFigure("farm_margin", "farm_margin", "Farm margin"),
    KeyFigure("first_cost", "first_cost", "Built in year 0, before cost-share"),
    KeyFigure("first_year_cash", "first_year_cash", "Paid out in years 0 and 1"),
    KeyFigure("peak_yearly_cash", "peak_yearly_cash", "Most paid out in one year"),
    KeyFigure("net_present_cost", "net_present_cost", "Present value of all costs"),
    KeyFigure("cheapest_in_winters", "cheapest_in_winters", "Winters in which it is the cheapest"),
    KeyFigure(
        "cost_per_animal_unit_day", "cost_per_animal_unit_day", "Cost an animal unit and day"
    ),
    KeyFigure("cost_per_ton_dm_eaten", "cost_per_ton_dm_eaten", "Cost a ton of dry matter eaten"),
    KeyFigure("quantities.hay_bought_ton", "hay_bought_ton", "Hay to buy"),
    KeyFigure("quantities.hay_wasted_ton_dm", "hay_wasted_ton_dm", "Hay wasted"),
    KeyFigure("quantities.bales.needed_mean", "bales_needed", "Bales needed, mean winter"),
    KeyFigure("quantities.bales.short_mean", "bales_short", "Bales short, mean winter"),
    KeyFigure("quantities.labor_hours", "labor_hours", "Hours of people"),
    KeyFigure("quantities.machine_hours", "machine_hours", "Hours of machines"),
    KeyFigure(ACRES, "acres_damaged", "Acres damaged, all severities"),
)


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """A key figure with its unit and its value in each system."""

    figure: KeyFigure
    unit: str
    values: Sequence[float | None]


def key_figures(body: Document) -> Iterator[ShownFigure]:
    """Yield the key figures that a costing has, in the order of its systems."""
    listed, by_system = system_figures(body)
    units = {found.path: in_currency(found.unit, body["currency"]) for found in listed}
    for figure in KEY_FIGURES:
        if figure.path == ACRES:
            damaged = [sum(s["quantities"]["acres_damaged"].values()) for s in body["systems"]]
            yield ShownFigure(figure, "acre", damaged)
            continue
        values = [own.get(figure.path) for own in by_system]
        if any(value is not None for value in values):
            yield ShownFigure(figure, units[figure.path], values)


def names_of(figure: KeyFigure, body: Document) -> Iterator[tuple[str, int]]:
    """Yield the defined names of a key figure, each with the place of its system.

    Keys of systems are lower-case words joined by underscores, so that every name is legal;
    ``best`` and ``baseline`` are no keys.
    """
    keys = [system["system"] for system in body["systems"]]
    for number, key in enumerate(keys):
        yield f"{figure.name}_{key}", number
    yield f"{figure.name}_{BEST}", keys.index(body["best_system"])
    yield f"{figure.name}_{BASELINE}", keys.index(body["comparison"]["baseline"])
