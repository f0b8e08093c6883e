"""Warnings of a system: what is beyond a limit, out of the ordinary or given up without a price."""

from collections.abc import Iterator
from typing import Any

from service.costing.averages import by_group, largest, mean, number
from service.costing.case import Case
from service.costing.engine import Costing, SystemCosting
from service.costing.figure import Figure
from service.costing.formulas.bale_grazing import hay_per_acre, nutrient_per_acre
from service.costing.formulas.nutrients import nitrogen_of
from service.costing.limits import known
from service.costing.methods import METHODS
from service.costing.notes import notes_of
from service.costing.reference.table import Row, Source
from service.costing.shortfalls import room_on, shortfalls_of
from service.costing.structures import KINDS
from service.costing.supplement_gaps import supplement_gaps
from service.costing.units import NEGLIGIBLE
from service.costing.wording import amount, count, named, sentence, share, spoken

__all__ = ["notes_of", "shortfalls_of", "unusual_values", "warnings_of"]

Alert = dict[str, Any]

LEAST_YEARS_BETWEEN_USES = 2
"""The same ground grazed with bales more often than this is warned of."""


def warnings_of(costing: Costing, system: SystemCosting) -> list[Alert]:
    """Return the warnings of a system.

    Each has its name under ``warning``, the step, structure, group or input that it is about, the
    value and the limit it passes with their unit, and a sentence.
    """
    return [
        *_bale_ground(costing, system),
        *_pad_cleanings(costing, system),
        *_bale_ground_reused(system),
        *_bales_left(costing, system),
        *_energy_short(costing, system),
        *supplement_gaps(costing, system),
        *_tight_stocking(system),
        *_lease_shorter_than_life(costing, system),
        *_unusual_values_of(costing.case, system),
    ]


def _bale_ground(costing: Costing, system: SystemCosting) -> Iterator[Alert]:
    """Warn of bale-grazed ground by the ratio of the means of the winters."""
    winters = costing.winters
    hay_limit = known(costing.case, "bale_grazing.hay_limit_ton_per_acre")
    nitrogen_limit = known(costing.case, "bale_grazing.nitrogen_limit_lb_per_acre")
    for step in system.run.steps:
        if step.acres_covered is None or step.offered is None:
            continue
        acres = mean(winters, step.acres_covered)
        hay = float(hay_per_acre(mean(winters, step.offered), acres))
        if hay_limit is not None and hay > hay_limit:
            yield {
                "warning": "bale_grazing_hay_per_acre",
                "step": step.key,
                "value": hay,
                "limit": hay_limit,
                "unit": "ton DM/acre",
                "sentence": f"{amount(hay)} tons of hay dry matter an acre are fed; above "
                f"{amount(hay_limit)} wet ground is overloaded. Set the bales farther apart.",
            }
        fallen = system.fertility.on_bale_ground.get(step.key)
        if fallen is None or nitrogen_limit is None:
            continue
        laid = mean(winters, Figure(nitrogen_of(fallen.value), "lb"))
        nitrogen = float(nutrient_per_acre(laid, acres))
        if nitrogen > nitrogen_limit:
            yield {
                "warning": "bale_grazing_nitrogen_per_acre",
                "step": step.key,
                "value": nitrogen,
                "limit": nitrogen_limit,
                "unit": "lb/acre",
                "sentence": f"{amount(nitrogen)} lb of nitrogen an acre fall in manure and "
                f"leavings; above {amount(nitrogen_limit)} grass cannot use it and water may "
                "carry it off.",
            }


def _pad_cleanings(costing: Costing, system: SystemCosting) -> Iterator[Alert]:
    for floor in system.floors:
        most = known(costing.case, f"structure.{floor.kind}.most_cleanings_per_winter")
        times = mean(costing.winters, floor.scrapings)
        if not floor.floor.structure.topped_up or most is None or times <= most:
            continue
        yield {
            "warning": f"{floor.kind}_cleanings",
            "structure": floor.floor.key,
            "value": times,
            "limit": most,
            "unit": "time",
            "sentence": f"The pad is scraped {amount(times)} times in a mean winter; above "
            f"{amount(most)} the rock goes with the manure, and concrete is the usual answer "
            "(common practice).",
        }


def _bale_ground_reused(system: SystemCosting) -> Iterator[Alert]:
    for step in system.run.steps:
        years = step.step.setting("years_between_uses")
        if years is None or years >= LEAST_YEARS_BETWEEN_USES:
            continue
        yield {
            "warning": "bale_ground_reused_early",
            "step": step.key,
            "value": float(years),
            "limit": float(LEAST_YEARS_BETWEEN_USES),
            "unit": "year",
            "sentence": f"The same ground comes round after {amount(years)} years; sod and soil "
            f"want at least {LEAST_YEARS_BETWEEN_USES} to use what one winter leaves.",
        }


def _bales_left(costing: Costing, system: SystemCosting) -> Iterator[Alert]:
    winters = costing.winters
    for step in system.run.steps:
        if step.bales_left is None or largest(winters, step.bales_left) <= NEGLIGIBLE:
            continue
        left = mean(winters, step.bales_left)
        yield {
            "warning": "bales_set_out_not_used",
            "step": step.key,
            "value": left,
            "limit": 0.0,
            "unit": "bale",
            "sentence": f"{count(left)} of {count(step.step.setting('bales_set_out'))} bales set "
            f"out are not used in a mean winter ({count(largest(winters, step.bales_left))} at "
            "most): they spoil or have to be fetched in.",
        }


def _energy_short(costing: Costing, system: SystemCosting) -> Iterator[Alert]:
    groups = costing.herd.groups
    short = by_group(costing.winters, system.animals.energy_short, groups)
    weight = by_group(costing.winters, system.animals.condition_not_held, groups)
    head = system.run.head.value[:, 0, 0, 0]
    for position, group in enumerate(groups):
        if short[group] <= NEGLIGIBLE:
            continue
        animals = costing.case.scenario.herd[group]
        counted = group in costing.case.scenario.animal_losses
        yield {
            "warning": "energy_short",
            "group": group,
            "value": short[group],
            "limit": 0.0,
            "unit": "lb TDN",
            "sentence": sentence(
                f"{named(animals.title, group)} lack {amount(short[group])} lb TDN in a mean "
                "winter: cold and mud ask for more than they can eat. That is about "
                f"{amount(weight[group] / float(head[position]))} lb of weight a head"
                f"{'' if counted else ', and not in the money'}."
            ),
        }


def _tight_stocking(system: SystemCosting) -> Iterator[Alert]:
    for step in system.run.steps:
        if step.step.stocking != "tight":
            continue
        for place in step.places:
            room = room_on(system, step, place)
            used = number(step.share.value)
            if room is None or room >= used - NEGLIGIBLE:
                continue
            yield {
                "warning": "tight_stocking",
                "step": step.key,
                "structure": place.structure,
                "value": room / used,
                "limit": 1.0,
                "unit": "fraction",
                "sentence": f"Step {spoken(step.key)} gives each animal {share(room / used)} of "
                "the usual space: more fighting, dirt and damage, and less rest.",
            }


def _lease_shorter_than_life(costing: Costing, system: SystemCosting) -> Iterator[Alert]:
    fields = costing.case.scenario.land.fields
    for item in system.construction.built:
        key = item.structure.field
        if key is None or fields[key].tenure != "rented":
            continue
        lease = fields[key].lease_years_left
        life = known(costing.case, f"structure.{item.structure.kind}.life_years")
        if item.structure.existing:
            life = item.structure.remaining_life_years
        if lease is None or life is None or lease >= life:
            continue
        yield {
            "warning": "lease_shorter_than_life",
            "structure": item.key,
            "value": float(lease),
            "limit": float(life),
            "unit": "year",
            "sentence": sentence(
                f"{named(item.structure.title, item.key)} stands on rented ground: the lease runs "
                f"{amount(lease)} years, the structure lasts {amount(life)}. It is written off by "
                "the end of the lease, with only what the landlord has agreed to pay."
            ),
        }


def unusual_values(case: Case) -> Iterator[Alert]:
    """Warn of every reference value that the scenario sets outside its usual range."""
    for key, given in case.scenario.assumptions.items():
        row = case.edition.rows.get(key)
        if row is None or row.low is None or row.high is None or isinstance(given, str):
            continue
        if row.low <= given <= row.high:
            continue
        yield {
            "warning": "unusual_value",
            "input": f"assumptions.{key}",
            "value": float(given),
            "limit": float(row.low if given < row.low else row.high),
            "unit": row.unit,
            "sentence": f"{key} is {given:g}; the usual range is {row.low:g} to {row.high:g} "
            f"{row.unit} ({_source_of(case, row)}).",
        }


def _source_of(case: Case, row: Row) -> str:
    source: Source = case.edition.sources[row.source]
    if not source.author:
        return source.title.split(";")[0].lower()
    year = f" {source.year}" if source.year else ""
    return f"{source.author}{year}, {source.title}"


def _unusual_values_of(case: Case, system: SystemCosting) -> Iterator[Alert]:
    """Warn of the unusual values that this system can be about."""
    choices = METHODS.keys() | KINDS.keys()
    chosen = {step.step.method for step in system.run.steps}
    chosen |= {structure.kind for structure in system.run.system.structures.values()}
    chosen |= {place.word for step in system.run.steps for place in step.places}
    for warning in unusual_values(case):
        words = set(warning["input"].split("."))
        if not words & choices - chosen:
            yield warning
