"""Nutrients in the hay: where they fall, what is kept, and the credit for them."""

from dataclasses import dataclass, field

import numpy as np

from service.costing.case import Case
from service.costing.charges import Charges
from service.costing.figure import Figure, constant
from service.costing.formulas.nutrients import (
    nutrient_worth,
    nutrients_dropped,
    nutrients_in_hay,
    nutrients_kept,
    nutrients_kept_from_floor,
)
from service.costing.formulas.sums import negative, remainder, total
from service.costing.places import Place
from service.costing.run import StepRun, SystemRun
from service.costing.units import NUTRIENTS

NO_WASTE = constant(0.0, "lb DM")


@dataclass(slots=True)
class Fertility:
    """Nutrients from hay in each winter, (nutrients, draws, rows); on bale-grazed ground apart."""

    dropped: Figure | None
    kept: Figure | None
    on_bale_ground: dict[str, Figure]
    by_place: list[tuple[Place, Figure]] = field(default_factory=list)
    """What falls at each place of each step, in the order of the plan."""


def fertility_of(run: SystemRun, charges: Charges) -> Fertility:
    """Work the nutrients of a system and credit those that count."""
    work = run.case.work
    dropped: list[Figure] = []
    kept: list[Figure] = []
    on_bale_ground: dict[str, Figure] = {}
    by_place: list[tuple[Place, Figure]] = []
    for step in run.steps:
        if step.waste is None:
            continue
        for place in step.places:
            fallen = _dropped_at(run, step, place)
            dropped.append(fallen)
            by_place.append((place, fallen))
            kept.append(_kept_at(run, place, fallen))
            if place.feeds_here and step.acres_covered is not None:
                on_bale_ground[step.key] = fallen
    if not dropped:
        return Fertility(None, None, on_bale_ground)
    kept_in_all = work(total, *kept)
    fertility = Fertility(work(total, *dropped), kept_in_all, on_bale_ground, by_place)
    if run.case.scenario.prices.nutrient_value_counted != "none":
        worth = work(
            nutrient_worth,
            kept=kept_in_all,
            usable_fraction=by_nutrient(run.case, "nutrient.usable_fraction.{}"),
            price=_prices(run.case),
            counted_fraction=_counted(run.case),
        )
        charges.add("nutrient_credit", "credit", "nutrients", work(negative, amount=worth))
    return fertility


def by_nutrient(case: Case, key: str) -> Figure:
    """Return a reference value of each nutrient, shape (nutrients, draws, rows)."""

    def make() -> Figure:
        keys = [key.format(name) for name in NUTRIENTS]
        return case.references(keys, (len(NUTRIENTS),), ("nutrient",))

    return case.once(key, make)


def _dropped_at(run: SystemRun, step: StepRun, place: Place) -> Figure:
    case = run.case
    content = case.once("nutrients in hay", lambda: _in_hay(case))
    wasted = step.wasted if place.feeds_here and step.wasted is not None else NO_WASTE
    return case.work(
        nutrients_dropped,
        eaten=step.eaten_in_all,
        hours_share=place.hours_share,
        excreted_fraction=by_nutrient(case, "nutrient.excreted_fraction.{}"),
        wasted=wasted,
        content=content,
    )


def _in_hay(case: Case) -> Figure:
    protein = case.scenario.hay.crude_protein_fraction
    return case.work(
        nutrients_in_hay,
        crude_protein_fraction=case.given("hay.crude_protein_fraction", protein, "fraction"),
        p2o5=case.reference("nutrient.in_hay_lb_per_ton_dm.p2o5"),
        k2o=case.reference("nutrient.in_hay_lb_per_ton_dm.k2o"),
    )


def _kept_at(run: SystemRun, place: Place, dropped: Figure) -> Figure:
    case = run.case
    kept = by_nutrient(case, f"nutrient_kept.{_route_of(run, place)}." + "{}")
    if place.structure is None:
        return case.work(nutrients_kept, dropped=dropped, kept_fraction=kept)
    return case.work(
        nutrients_kept_from_floor,
        dropped=dropped,
        collected_fraction=case.reference(f"manure.collected_fraction.{place.word}"),
        kept_fraction=kept,
        open_lot_fraction=by_nutrient(case, "nutrient_kept.open_lot.{}"),
    )


def _route_of(run: SystemRun, place: Place) -> str:
    if place.structure is None:
        lot = place.word == "sacrifice_lot"
        return "concentrated_by_animals" if lot else "spread_by_animals"
    if place.word == "pack_floor":
        composted = getattr(run.system.structures[place.structure], "composted", False)
        return "composted_pack" if composted else "pack"
    return "scraped_stored"


def _prices(case: Case) -> Figure:
    prices = case.scenario.prices
    names = ("nitrogen_per_lb", "p2o5_per_lb", "k2o_per_lb")
    figure = case.array(
        [(f"prices.{name}", getattr(prices, name)) for name in names],
        (len(names),),
        "currency/lb",
    )
    return Figure(figure.value, "currency/lb", axes=("nutrient",), sources=figure.sources)


def _counted(case: Case) -> Figure:
    """Return the share of each nutrient that counts as money."""
    prices = case.scenario.prices
    hay = case.scenario.hay
    full = prices.nutrient_value_counted == "full"
    path = "prices.nutrient_value_counted" if full else "prices.nutrients_bought"
    counts = [float(full or getattr(prices.nutrients_bought, name)) for name in NUTRIENTS]
    sources = tuple(path if full else f"{path}.{name}" for name in NUTRIENTS)
    counted = Figure(
        np.array(counts).reshape(-1, 1, 1),
        "fraction",
        axes=("nutrient",),
        sources=sources,
    )
    if not hay.hayfield_fertilized:
        return counted
    home = case.given("hay.home_grown_fraction", hay.home_grown_fraction, "fraction")
    return case.work(remainder, amount=counted, share=home)
