"""The kernel that the engine is held against: the same money in plain NumPy, written by hand.

It knows one farm (`kernel_farm`), one group of cows on maintenance, hay alone, custom rates. What
it does on arrays the engine does too, in the same order and on arrays of the same shape; it keeps
no ledger, checks no unit and looks up no path twice. It leaves out what costs nothing: comfort and
energy short. `tests/analysis/test_kernel.py` holds every line of both to each other.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from service.costing.case import Picks
from service.costing.units import Array, Numeric
from tests.benchmarks.kernel_building import cost_of_structures
from tests.benchmarks.kernel_farm import STATES
from tests.benchmarks.kernel_values import Farm, Winters, tasks_of

NUTRIENTS = ("n", "p2o5", "k2o")
SEVERITIES = ("severe", "moderate", "light")
MANURE_TASKS = ("scrape", "clean_out", "spread_manure")
LITTLE = 1e-6
Lines = dict[str, Numeric]


@dataclass
class System:
    """What adds up while the steps of a system are worked."""

    document: Mapping[str, Any]
    left: Array
    eaten: Numeric = 0.0
    offered: Numeric = 0.0
    kept: Numeric = 0.0
    minutes: dict[bool, Numeric] = field(default_factory=lambda: {True: 0.0, False: 0.0})
    machines: dict[bool, Numeric] = field(default_factory=lambda: {True: 0.0, False: 0.0})
    trampled: dict[str, Numeric] = field(default_factory=lambda: defaultdict(float))
    edges: dict[str, Numeric] = field(default_factory=dict)
    floor: dict[str, Numeric] = field(default_factory=lambda: defaultdict(float))


@dataclass(frozen=True)
class Kernel:
    """The farm with its winters, and what holds for all systems."""

    farm: Farm
    winters: Winters
    needs: dict[tuple[str, tuple[str, ...]], Array] = field(default_factory=dict)

    def need(self, place: str, states: tuple[str, ...]) -> Array:
        """Return the rise of the need by mud and cold at a place without a roof, worked once."""
        if (place, states) not in self.needs:
            self.needs[place, states] = self.need_at(place, states)
        return self.needs[place, states]

    def need_at(self, place: str, states: tuple[str, ...]) -> Array:
        """Work the same."""
        farm, temperature = self.farm, self.winters.temperature
        mud = [
            farm.ref(f"energy.mud_fraction.{farm.ref(f'mud_level.{place}.{state}')}")
            if state in states
            else 0.0
            for state in STATES
        ]
        coats = ["wet" if state == "wet" else "dry_winter" for state in STATES]
        base = "energy.{}.beef_cow.{}"
        critical, rise = (
            np.array(
                [
                    farm.ref(base.format(name, coat)) if state in states else 0.0
                    for state, coat in zip(STATES, coats, strict=True)
                ]
            )[:, None]
            for name in ("lower_critical_temperature_f", "cold_fraction_per_degree_f")
        )
        return np.array(mud)[:, None] + rise * np.maximum(0.0, critical - temperature)

    def work(self, system: System, owner: str, drivers: Mapping[str, Numeric]) -> None:
        """Add the minutes of people and the cost of machines of an owner's tasks."""
        farm = self.farm
        for name in tasks_of(owner):
            base = f"work.{owner}.{name}"
            if farm.ref(f"{base}.per") not in drivers:
                continue
            driver = drivers[farm.ref(f"{base}.per")]
            of_manure = name in MANURE_TASKS
            system.minutes[of_manure] += driver * farm.ref(f"{base}.person_minutes")
            machine = farm.ref(f"{base}.machine")
            if machine != "none":
                minutes = driver * farm.ref(f"{base}.machine_minutes")
                rate = farm.given(f"machines.{machine}.custom_rate_per_hour")
                system.machines[of_manure] += minutes / 60 * rate

    def step(self, system: System, step: Mapping[str, Any], *, others: bool) -> None:
        """Serve the days of one step, and add what follows from them."""
        farm, winters = self.farm, self.winters
        head, weight = farm.given("herd.cows.head"), farm.given("herd.cows.body_weight_lb")
        states = tuple(step.get("ground_states", STATES))
        hours = step.get("hours_on_method", 24) / 24
        floor = system.document["structures"].get(step.get("structure"))
        place = floor["kind"] if floor else step["method"]
        need = self.need(place, states)
        if hours < 1:
            need = hours * need + (1 - hours) * self.need(step["resting_place"], states)
        factor = 1 + np.minimum(farm.ref("energy.extra_intake_limit"), need)
        per_day = head * weight * farm.ref("intake.beef_cow.maintenance.average") * factor
        may = np.array([float(state in states) for state in STATES])[:, None]
        served = np.minimum(system.left, winters.days * may)
        served = np.where(served < LITTLE, 0.0, served)
        left = system.left - served
        system.left = np.where(left < LITTLE, 0.0, left)
        days = served.sum(axis=0)
        eaten_by_state = served * per_day
        added = farm.by_state(f"hay_waste_added.{step['presentation']}.{{}}", states)
        waste = np.clip(farm.ref(f"hay_waste.{step['presentation']}") + added, 0.0, 0.9)
        eaten = eaten_by_state.sum(axis=0)
        offered = (eaten_by_state / (1 - waste)).sum(axis=0)
        wasted = offered - eaten
        system.eaten += eaten
        system.offered += offered
        bale = farm.given("hay.bale_weight_lb") * farm.given("hay.dry_matter_fraction")
        drivers = {"day": days, "bale": offered / bale, "winter": (days > 0) * 1.0}
        if others:
            spells = winters.days / winters.spell
            drivers["switch"] = np.where(served > 0, spells, 0.0).sum(axis=0)
        self.work(system, step["method"], drivers)
        field_ = step.get("field")
        if floor:
            self.on_floor(system, place, states, served, hours, wasted)
        else:
            self.trample(system, place, field_, states, served, 1.0)
        self.drop(system, place, eaten * hours, wasted)
        if hours < 1:
            rest, field_ = step["resting_place"], step["resting_field"]
            self.trample(system, rest, field_, states, served, 1 - hours)
            self.drop(system, rest, eaten * (1 - hours), 0.0)
            area = self.area(place)
            width = farm.ref("trampling.pad_edge_width_ft")
            ring = (np.sqrt(area) + 2 * width) ** 2 - area
            system.edges[floor["field"]] = ring * (days > 0) / 43_560

    def area(self, kind: str) -> float:
        """Return the area that all cows need on a floor."""
        return self.farm.given("herd.cows.head") * self.farm.ref(f"space.{kind}.beef_cow")

    def on_floor(
        self,
        system: System,
        kind: str,
        states: tuple[str, ...],
        served: Array,
        hours: float,
        wasted: Array,
    ) -> None:
        """Bed the floor, and add what is taken off it."""
        farm = self.farm
        herd = farm.given("herd.cows.head") * farm.given("herd.cows.body_weight_lb")
        fraction = farm.by_state(f"bedding.fraction_of_body_weight.{kind}.{{}}", states)
        bedding = (served * hours * herd * fraction).sum(axis=0)
        dung = served * hours * (herd / 1_000) * farm.ref("manure.lb_per_au_day.beef_cow")
        days = np.minimum(served.sum(axis=0), self.winters.days.sum(axis=0))
        as_fed = wasted / farm.given("hay.dry_matter_fraction")
        rain = self.winters.rain / 12 * self.area(kind)
        rain = rain * farm.ref(f"manure.rain_kept_fraction.{kind}") * (days > 0)
        solids = farm.ref(f"manure.collected_fraction.{kind}") * (
            dung.sum(axis=0) + bedding + as_fed
        )
        tons = (solids + rain * 62.4) / 2_000
        system.floor["bedding"] = bedding / 2_000 * farm.given("prices.bedding_per_ton")
        drivers = {
            "day": days,
            "scraping": days / farm.ref(f"manure.days_between_scrapings.{kind}"),
            "ton_manure": tons,
            "load": tons / farm.ref("manure.spreader_load_ton"),
            "ton_bedding": bedding / 2_000,
            "winter": 1.0,
        }
        self.work(system, kind, drivers)

    def trample(
        self,
        system: System,
        place: str,
        name: str,
        states: tuple[str, ...],
        served: Array,
        hours: float,
    ) -> None:
        """Add the acres of each severity that a step tramples on a field."""
        farm = self.farm
        herd = farm.given("herd.cows.head") * farm.given("herd.cows.body_weight_lb") / 1_000
        base = f"{place}.{farm.given(f'land.fields.{name}.drainage')}"
        words = {state: farm.ref(f"trampling.severity.{base}.{state}") for state in states}
        each = np.array(
            [
                [
                    farm.ref(f"trampling.sqft_per_au_day.{base}.{state}")
                    if words.get(state) == severity
                    else 0.0
                    for state in STATES
                ]
                for severity in SEVERITIES
            ]
        )
        square_feet = (served * hours * herd * each[..., None]).sum(axis=1)
        acres = farm.given(f"land.fields.{name}.acres")
        system.trampled[name] += within(square_feet / 43_560, acres)

    def drop(self, system: System, place: str, eaten: Array, wasted: Numeric) -> None:
        """Add the nutrients that are kept of what falls at a place."""
        farm = self.farm

        def of_each(key: str) -> Array:
            return np.array([farm.ref(key.format(name)) for name in NUTRIENTS])[:, None]

        content = np.array(
            [
                farm.given("hay.crude_protein_fraction") / 6.25,
                farm.ref("nutrient.in_hay_lb_per_ton_dm.p2o5") / 2_000,
                farm.ref("nutrient.in_hay_lb_per_ton_dm.k2o") / 2_000,
            ]
        )[:, None]
        dropped = (eaten * of_each("nutrient.excreted_fraction.{}") + wasted) * content
        if place.endswith("_pad"):
            taken = farm.ref(f"manure.collected_fraction.{place}")
            kept = taken * of_each("nutrient_kept.scraped_stored.{}")
            kept = kept + (1 - taken) * of_each("nutrient_kept.open_lot.{}")
        elif place == "sacrifice_lot":
            kept = of_each("nutrient_kept.concentrated_by_animals.{}")
        else:
            kept = of_each("nutrient_kept.spread_by_animals.{}")
        system.kept += dropped * kept

    def costed(self, document: Mapping[str, Any]) -> Lines:
        """Return every line of a system, each draw and last the mean winter."""
        farm = self.farm
        system = System(document, self.winters.days)
        for step in document["plan"]:
            self.step(system, step, others=len(document["plan"]) > 1)
        for structure in document["structures"].values():
            if not structure["kind"].endswith("_pad"):
                self.work(system, structure["kind"], {"winter": 1.0})
        storage = document.get("hay_storage", farm.given("hay.storage"))
        stored = system.offered / (1 - farm.ref(f"hay_storage_loss.{storage}"))
        ton = farm.given("hay.dry_matter_fraction") * 2_000
        wage = farm.given("prices.labor_per_hour")
        usable = np.array([farm.ref(f"nutrient.usable_fraction.{name}") for name in NUTRIENTS])
        worth = [
            kept * share * farm.given(f"prices.{name}_per_lb")
            for kept, share, name in zip(
                system.kept, usable, ("nitrogen", "p2o5", "k2o"), strict=True
            )
        ]
        lines: Lines = {
            "hay_eaten": system.eaten / ton * self.winters.hay_price,
            "hay_wasted": (system.offered - system.eaten) / ton * self.winters.hay_price,
            "hay_lost_in_storage": (stored - system.offered) / ton * self.winters.hay_price,
            "bedding": system.floor["bedding"],
            "labor": system.minutes[False] / 60 * wage,
            "machinery": system.machines[False],
            "manure_handling": system.minutes[True] / 60 * wage + system.machines[True],
            "nutrient_credit": -sum(worth),
            **self.ground(system),
            **self.built(document, stored[-1] / ton),
        }
        return lines

    def ground(self, system: System) -> Lines:
        """Return what the repair of the ground costs, and the grass that it does not grow."""
        farm = self.farm
        rate = farm.given("finance.real_rate")
        price = np.array([farm.ref(f"restoration.cost_per_acre.{name}") for name in SEVERITIES])
        loss = [
            sum(
                farm.ref(f"restoration.forage_loss.{name}.{year + 1}") / (1 + rate) ** year
                for year in range(3)
            )
            for name in SEVERITIES
        ]
        repair: Numeric = 0.0
        lost: Numeric = 0.0
        for name in dict.fromkeys((*system.trampled, *system.edges)):
            acres = system.trampled[name]
            if name in system.edges:
                acres = np.concatenate([acres[:1] + system.edges[name], acres[1:]])
            base = f"land.fields.{name}"
            acres = within(acres, farm.given(f"{base}.acres"))
            repair += (acres * price[:, None]).sum(axis=0)
            value = farm.given(f"{base}.forage_yield_ton_dm_per_acre")
            value = value * farm.given("land.forage_value_per_ton_dm")
            lost += (acres * value * np.array(loss)[:, None]).sum(axis=0)
        return {"ground_restoration": repair, "forage_lost": lost}

    def built(self, document: Mapping[str, Any], hay: float) -> Lines:
        """Return what structures cost a year; ``hay`` is stored in the mean winter [ton]."""
        sizes = {"hay_storage": hay * self.farm.ref("space.hay_storage.sq_ft_per_ton")}
        for kind in ("gravel_pad", "concrete_pad"):
            sizes[kind] = self.area(kind)
        for kind in ("feeder", "waterer"):
            pieces = self.farm.given("herd.cows.head") * self.farm.ref(f"space.{kind}.beef_cow")
            sizes[kind] = np.ceil(pieces - LITTLE)
        return cost_of_structures(self.farm, document["structures"], sizes)


def within(trampled: Array, ground: float) -> Array:
    """Return acres of each severity, severe first, until the ground runs out."""
    reached = np.minimum(np.cumsum(trampled, axis=0), ground)
    return np.concatenate([reached[:1], reached[1:] - reached[:-1]])


def lines_of(
    document: Mapping[str, Any], varied: Mapping[str, Array], picked: Picks
) -> dict[str, Lines]:
    """Return every line of every system [currency/year]."""
    farm = Farm(document, varied)
    kernel = Kernel(farm, Winters.of(farm, picked))
    return {key: kernel.costed(system) for key, system in document["systems"].items()}


def costs_of(
    document: Mapping[str, Any], varied: Mapping[str, Array], picked: Picks
) -> dict[str, Array]:
    """Return what each system costs in each draw [currency/year]."""
    costed = lines_of(document, varied, picked)
    return {
        key: np.broadcast_to(sum(lines.values()), len(picked) + 1)[:-1]
        for key, lines in costed.items()
    }
