"""How one structure is sized and priced, in one part or in an old and a new one."""

from dataclasses import dataclass

from service.costing.allocation import dry_matter_of_hay
from service.costing.case import Case
from service.costing.feed import FeedRun
from service.costing.figure import Figure, constant
from service.costing.floors import FloorRun, storage_by_rule
from service.costing.formulas.building import (
    shorter_of,
    top_up_cost,
    years_used,
)
from service.costing.formulas.hay import tons_as_fed
from service.costing.formulas.structures import (
    cost_share_by_unit,
    cost_share_granted,
    first_cost,
    hay_storage_by_rule,
    strip_by_rule,
    works,
    works_of_addition,
)
from service.costing.formulas.sums import (
    in_mean_winter,
    portion,
    total,
)
from service.costing.run import SystemRun
from service.costing.sizes import RULED_BY_HEAD, Size, open_pad_area, pieces, sized
from service.costing.structures import CostShare, Structure
from service.costing.units import YEARS_OF_NEVER

NO_MONEY = constant(0.0, "currency")
NO_SALVAGE = constant(0.0, "fraction")
NOW = constant(0.0, "year")
BY_UNUSED_LIFE = constant(1.0, "none")
AS_AGREED = constant(0.0, "none")
NEVER = constant(float(YEARS_OF_NEVER), "year")
ONE = constant(1.0, "piece")


@dataclass(slots=True)
class Part:
    """A structure, or the old or the new part of one."""

    cost: Figure
    salvage_fraction: Figure
    left_value: Figure
    life: Figure
    first_built: Figure
    prorated: Figure
    upkeep_fraction: Figure
    top_up: Figure
    top_up_interval: Figure
    age: Figure


@dataclass(slots=True)
class Built:
    """One structure of a system with its money; ``parts`` are its places on the entry axis."""

    key: str
    structure: Structure
    size: Figure
    size_by_rule: Figure | None
    cost: Figure
    cost_share: Figure
    parts: tuple[int, ...]
    addition: Part
    existing: Part | None


class Builder:
    """Works the structures of one system."""

    def __init__(self, run: SystemRun, feed: FeedRun, floors: list[FloorRun]) -> None:
        self.run = run
        self.feed = feed
        self.floors = floors
        self.case: Case = run.case
        self.parts: list[Part] = []
        self.horizon = run.case.given(
            "finance.horizon_years", run.case.scenario.finance.horizon_years, "year"
        )

    def build(self, key: str, structure: Structure) -> Built:
        """Work one structure; its parts are added to those of the system."""
        size = self._size(key, structure)
        counted = size.counted or ONE
        path = f"systems.{self.run.key}.structures.{key}"
        first = len(self.parts)
        old: Part | None = None
        is_there = False
        if size.addition is not None and size.existing is not None:
            old = self._part(path, structure, size.existing, existing=True, bare=True)
            new = self._part(path, structure, size.addition, existing=False, addition=True)
            cost = self.case.work(total, old.cost, new.cost)
            share_size = size.addition
            self.parts += [old, new]
        else:
            existing = structure.existing or size.existing is not None
            new = self._part(path, structure, counted, existing=existing)
            cost, share_size = new.cost, counted
            is_there = existing
            self.parts.append(new)
        share = NO_MONEY
        if structure.cost_share is not None and not is_there:
            terms = structure.cost_share
            share = self._cost_share(f"{path}.cost_share", terms, new.cost, share_size)
        self.run.sizes[key] = size
        return Built(
            key=key,
            structure=structure,
            size=counted,
            size_by_rule=size.by_rule,
            cost=cost,
            cost_share=share,
            parts=tuple(range(first, len(self.parts))),
            addition=new,
            existing=old,
        )

    def _size(self, key: str, structure: Structure) -> Size:
        run, case = self.run, self.case
        if structure.is_floor:
            return run.sizes[key]
        kind = structure.kind
        rule: Figure | None = None
        if kind == "roof":
            rule = run.sizes[structure.setting("over")].counted
        elif kind in RULED_BY_HEAD:
            rule = pieces(case, run.herd, run.head, kind)
        elif kind == "manure_storage":
            rule = storage_by_rule(run, self.floors, key, structure.setting("storage_days"))
        elif kind == "hay_storage":
            rule = self._hay_floor()
        elif kind == "treatment_strip":
            rule = case.work(
                strip_by_rule,
                area=open_pad_area(case, run.system, run.sizes),
                ratio=case.reference("space.treatment_strip.sq_ft_per_sq_ft_of_lot"),
            )
        return sized(case, run.key, key, structure, rule)

    def _hay_floor(self) -> Figure:
        work = self.case.work
        tons = work(
            tons_as_fed,
            dry_matter=work(in_mean_winter, values=self.feed.hay_stored),
            dry_matter_fraction=dry_matter_of_hay(self.case),
        )
        return work(
            hay_storage_by_rule,
            hay=tons,
            square_feet_per_ton=self.case.reference("space.hay_storage.sq_ft_per_ton"),
        )

    def _part(
        self,
        path: str,
        structure: Structure,
        size: Figure,
        *,
        existing: bool,
        bare: bool = False,
        addition: bool = False,
    ) -> Part:
        case, work = self.case, self.case.work
        kind = structure.kind
        cost = self._works(path, structure, size, bare=bare, addition=addition)
        if not bare:
            cost = self._with_extras(path, structure, cost)
        life = case.reference(f"structure.{kind}.life_years")
        lease = self._lease(structure)
        salvage_fraction, left_value = NO_SALVAGE, NO_MONEY
        if lease is None:
            salvage_fraction = case.reference(f"structure.{kind}.salvage_fraction")
        else:
            life = work(shorter_of, life=life, lease=lease)
            if structure.left_value_agreed is not None:
                left_value = case.given(
                    f"{path}.left_value_agreed", structure.left_value_agreed, "currency"
                )
        first_built = NOW
        if existing:
            first_built = case.given(
                f"{path}.remaining_life_years", structure.remaining_life_years, "year"
            )
            if lease is not None:
                first_built = work(shorter_of, life=first_built, lease=lease)
        age = work(years_used, life=life, remaining_life=first_built) if existing else NOW
        top_up, interval = self._top_up(structure, size)
        return Part(
            cost=cost,
            salvage_fraction=salvage_fraction,
            left_value=left_value,
            life=life,
            first_built=first_built,
            prorated=AS_AGREED if lease is not None else BY_UNUSED_LIFE,
            upkeep_fraction=case.reference(f"structure.{kind}.upkeep_fraction"),
            top_up=top_up,
            top_up_interval=interval,
            age=age,
        )

    def _works(
        self,
        path: str,
        structure: Structure,
        size: Figure,
        *,
        bare: bool,
        addition: bool,
    ) -> Figure:
        case = self.case
        if structure.price is not None and not bare:
            return case.given(f"{path}.price", structure.price, "currency")
        unit = case.reference(f"structure.{structure.kind}.unit_cost")
        if addition:
            return case.work(
                works_of_addition,
                unit_cost=unit,
                size=size,
                tie_in_cost=case.given(f"{path}.tie_in_cost", structure.tie_in_cost, "currency"),
            )
        return case.work(
            works,
            base_cost=case.reference(f"structure.{structure.kind}.base_cost"),
            unit_cost=unit,
            size=size,
        )

    def _with_extras(self, path: str, structure: Structure, cost: Figure) -> Figure:
        names = ("engineering_cost", "permit_cost", "power_and_water_cost")
        if not any(
            getattr(structure, name) or f"{path}.{name}" in self.case.varied
            for name in ("contingency_fraction", *names)
        ):
            return cost
        return self.case.work(
            first_cost,
            works=cost,
            contingency_fraction=self.case.given(
                f"{path}.contingency_fraction",
                structure.contingency_fraction,
                "fraction",
            ),
            **{
                name: self.case.given(f"{path}.{name}", getattr(structure, name), "currency")
                for name in names
            },
        )

    def _lease(self, structure: Structure) -> Figure | None:
        if structure.field is None:
            return None
        place = self.case.scenario.land.fields[structure.field]
        if place.tenure != "rented":
            return None
        return self.case.given(
            f"land.fields.{structure.field}.lease_years_left",
            place.lease_years_left,
            "year",
        )

    def _top_up(self, structure: Structure, size: Figure) -> tuple[Figure, Figure]:
        if not structure.topped_up:
            return NO_MONEY, NEVER
        base = f"structure.{structure.kind}"
        cost = self.case.work(
            top_up_cost,
            size=size,
            unit_cost=self.case.reference(f"{base}.resurface_unit_cost"),
        )
        return cost, self.case.reference(f"{base}.resurface_years")

    def _cost_share(self, path: str, terms: CostShare, cost: Figure, size: Figure) -> Figure:
        case, work = self.case, self.case.work
        limits = [cost]
        if terms.rate is not None:
            eligible = cost
            if terms.eligible_cost is not None:
                eligible = case.given(f"{path}.eligible_cost", terms.eligible_cost, "currency")
            rate = case.given(f"{path}.rate", terms.rate, "fraction")
            limits.append(work(portion, amount=eligible, share=rate))
        if terms.per_unit is not None:
            per_unit = case.given(f"{path}.per_unit", terms.per_unit, "currency/size")
            limits.append(work(cost_share_by_unit, per_unit=per_unit, size=size))
        if terms.cap is not None:
            limits.append(case.given(f"{path}.cap", terms.cap, "currency"))
        return work(cost_share_granted, *limits)
