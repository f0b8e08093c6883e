"""The winters as arrays: one row each, and their made-up mean as the last row.

Where a case has picked winters, its rows are those, and the mean stays that of all winters.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from service.costing.case import Case
from service.costing.figure import Figure
from service.costing.formulas.hay import price_of_winter, price_per_ton
from service.costing.formulas.sums import days_of_row, rows_picked, with_mean_winter
from service.costing.recorded_spells import RecordedSpells, mean_lengths, recorded_spells
from service.costing.units import STATES
from service.costing.winter import GroundDays, Winter, WinterRow


@dataclass(frozen=True, slots=True)
class WinterRows:
    """All that differs from winter to winter; the last element of each row axis is the mean."""

    seasons: list[str]
    weight: Figure
    days: Figure
    total_days: Figure
    growth_factor: Figure
    hay_price: Figure
    rain: Figure | None
    temperature: Figure | None
    spell_days: Figure | None
    recorded: RecordedSpells | None = None
    """Every spell, if a record tells them of every winter."""


def rows_of(winter: Winter) -> list[WinterRow]:
    """Return the rows, or the one row of counts."""
    if winter.rows:
        return winter.rows
    return [WinterRow(ground_days=winter.ground_days or GroundDays())]


def season_names(rows: list[WinterRow]) -> list[str]:
    """Return what each row is called: its season, else its number."""
    return [row.season or str(number) for number, row in enumerate(rows, start=1)]


def winter_rows(case: Case) -> WinterRows:
    """Lay out the winters of a case."""
    winter = case.scenario.winter
    rows = rows_of(winter)
    seasons = season_names(rows)
    reader = _RowReader(case, winter, rows, seasons)
    weight = reader.row("weight", "none", lambda row: row.weight)
    work = case.work

    def with_mean(figure: Figure) -> Figure:
        return _picked(case, work(with_mean_winter, values=figure, weight=weight))

    days = with_mean(reader.by_state("ground_days", "day", required=True))
    price = _hay_price(case)
    rain = reader.row("rain_in", "in", lambda row: row.rain_in)
    return WinterRows(
        seasons=seasons
        if case.picked is None
        else [seasons[number] for number in case.picked.tolist()],
        weight=_weight(case, weight),
        days=days,
        total_days=work(days_of_row, amounts=days),
        growth_factor=with_mean(
            reader.row(
                "stockpile_growth_factor",
                "fraction",
                lambda row: row.stockpile_growth_factor,
            )
        ),
        hay_price=work(
            price_of_winter,
            price=price,
            factor=with_mean(
                reader.row("hay_price_factor", "fraction", lambda row: row.hay_price_factor)
            ),
        ),
        rain=with_mean(rain) if np.isfinite(rain.value).any() else None,
        temperature=reader.known_by_state("effective_temperature_f", "°F", with_mean),
        spell_days=reader.known_by_state("spell_days", "day", with_mean),
        recorded=recorded_spells(rows, seasons, case.picked),
    )


def _picked(case: Case, figure: Figure) -> Figure:
    """Return the rows that were picked, if any were, and the mean of all."""
    if case.picked is None:
        return figure
    rows = Figure(np.append(case.picked, -1), "none", sources="winter.rows")
    return case.work(rows_picked, values=figure, rows=rows)


def _weight(case: Case, weight: Figure) -> Figure:
    """Return the weight of each row, and none for the mean; picked rows count alike."""
    values = weight.value if case.picked is None else np.ones(len(case.picked))
    return Figure(np.append(values, 0.0), "none", sources=weight.sources)


def _hay_price(case: Case) -> Figure:
    hay = case.scenario.hay
    if hay.price_per_ton is not None:
        return case.given("hay.price_per_ton", hay.price_per_ton, "currency/ton")
    return case.work(
        price_per_ton,
        price_per_bale=case.given("hay.price_per_bale", hay.price_per_bale, "currency/bale"),
        bale_weight=case.given("hay.bale_weight_lb", hay.bale_weight_lb, "lb/bale"),
    )


def item_of_row(row: WinterRow, name: str, state: str) -> float | None:
    """Return an item of a row; the mean length of spells that are all known is worked."""
    own = getattr(getattr(row, name), state)
    if own is None and name == "spell_days":
        return mean_lengths(row.spells, state)
    return own


@dataclass(frozen=True, slots=True)
class _RowReader:
    """Reads one item of all winters; what a row does not give is taken from the winter."""

    case: Case
    winter: Winter
    rows: list[WinterRow]
    seasons: list[str]

    def row(self, name: str, unit: str, read: Callable[[WinterRow], float | None]) -> Figure:
        general = getattr(self.winter, name, None)
        values = [general if (own := read(row)) is None else own for row in self.rows]
        sources = None
        if self.case.ledger.keeps_workings:
            sources = tuple(
                self._path(season, name) if read(row) is not None else f"winter.{name}"
                for row, season in zip(self.rows, self.seasons, strict=True)
            )
        return Figure(np.array(values, float), unit, sources=sources)

    def by_state(self, name: str, unit: str, *, required: bool = False) -> Figure:
        general = None if required else getattr(self.winter, name)
        values: list[list[float | None]] = []
        sources: list[str | None] = []
        keeps = self.case.ledger.keeps_workings
        for state in STATES:
            fallback = getattr(general, state, None)
            own = [item_of_row(row, name, state) for row in self.rows]
            values.append([fallback if value is None else value for value in own])
            if keeps:
                sources += [
                    f"winter.{name}.{state}" if value is None else self._path(season, name, state)
                    for value, season in zip(own, self.seasons, strict=True)
                ]
        array = np.array(values, float)[:, None, :]
        return Figure(array, unit, sources=tuple(sources) if keeps else None)

    def known_by_state(
        self, name: str, unit: str, with_mean: Callable[[Figure], Figure]
    ) -> Figure | None:
        figure = self.by_state(name, unit)
        return with_mean(figure) if np.isfinite(figure.value).any() else None

    def _path(self, season: str, *names: str) -> str:
        """Return the path of an item of a row; the one row of counts is the winter's own."""
        where = f"winter.rows.{season}" if self.winter.rows else "winter"
        return ".".join((where, *names))
