"""What an hour of each machine costs: a custom rate, or ASABE EP496 from price, age and hours."""

from dataclasses import dataclass

from service.costing.case import Case
from service.costing.figure import Figure
from service.costing.formulas.machines import (
    accumulated_repairs,
    age_when_sold,
    fuel_per_hour,
    hours_per_year_of_life,
    hours_when_sold,
    lubrication_per_hour,
    machine_recovery_per_year,
    operating_per_hour,
    ownership_per_hour,
    remaining_value,
    repairs_per_year,
    taxes_insurance_housing,
)
from service.costing.formulas.time_value import capital_recovery_factor, real_rate
from service.costing.prices import Machine

BY_ASABE = (
    "list_price",
    "price",
    "age_years",
    "years_kept",
    "hours_per_year",
    "hours_so_far",
    "pto_hp",
)
"""What a machine must say of itself to be costed by EP496, beside its class."""

UNITS = {
    "list_price": "currency",
    "price": "currency",
    "age_years": "year",
    "years_kept": "year",
    "hours_per_year": "hour/year",
    "hours_so_far": "hour",
    "pto_hp": "hp",
}


@dataclass(frozen=True, slots=True)
class Rate:
    """Rate of a machine: what an hour costs to run or hire, and to own."""

    paid: Figure
    ownership: Figure | None
    pays_operator: bool
    least_charge: Figure | None


class Rates:
    """The real rate of interest, and the rate of each machine as it is asked for."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.discount_rate = _discount_rate(case)
        self._rates: dict[str, Rate] = {}

    def of(self, machine: str) -> Rate:
        """Return the rate of a machine of the scenario."""
        if machine not in self._rates:
            self._rates[machine] = self._rate(machine)
        return self._rates[machine]

    def _rate(self, key: str) -> Rate:
        machine = self.case.scenario.machines[key]
        path = f"machines.{key}"
        if machine.custom_rate_per_hour is not None:
            least = None
            if machine.least_charge > 0:
                least = self.case.given(f"{path}.least_charge", machine.least_charge, "currency")
            return Rate(
                self.case.given(
                    f"{path}.custom_rate_per_hour",
                    machine.custom_rate_per_hour,
                    "currency/hour",
                ),
                None,
                machine.includes_operator,
                least,
            )
        return self._by_asabe(path, machine)

    def _by_asabe(self, path: str, machine: Machine) -> Rate:
        case, work = self.case, self.case.work
        own = {
            name: case.given(f"{path}.{name}", getattr(machine, name), unit)
            for name, unit in UNITS.items()
        }
        kind = machine.machine_class
        fuel = work(
            fuel_per_hour,
            fuel_use=case.reference("machine.fuel_gallon_per_pto_hp_hour"),
            pto_hp=own["pto_hp"],
            diesel_price=case.given(
                "prices.diesel_per_gallon",
                case.scenario.prices.diesel_per_gallon,
                "currency/gallon",
            ),
        )
        hours_sold = work(
            hours_when_sold,
            hours_so_far=own["hours_so_far"],
            years_kept=own["years_kept"],
            hours_per_year=own["hours_per_year"],
        )
        factors = {
            "rf1": case.reference(f"machine.repair.{kind}.rf1"),
            "rf2": case.reference(f"machine.repair.{kind}.rf2"),
        }

        def repairs_until(hours: Figure) -> Figure:
            return work(
                accumulated_repairs,
                list_price=own["list_price"],
                hours=hours,
                **factors,
            )

        running = work(
            operating_per_hour,
            repairs_per_year=work(
                repairs_per_year,
                repairs_when_sold=repairs_until(hours_sold),
                repairs_so_far=repairs_until(own["hours_so_far"]),
                years_kept=own["years_kept"],
            ),
            hours_per_year=own["hours_per_year"],
            fuel_per_hour=fuel,
            lubrication_per_hour=work(
                lubrication_per_hour,
                fuel_per_hour=fuel,
                lubrication_fraction=case.reference("machine.lubrication_fraction"),
            ),
        )
        ownership = None
        if case.scenario.finance.machine_costing == "full":
            ownership = self._ownership(own, kind, hours_sold)
        return Rate(running, ownership, pays_operator=False, least_charge=None)

    def _ownership(self, own: dict[str, Figure], kind: str | None, hours_sold: Figure) -> Figure:
        case, work = self.case, self.case.work
        age_sold = work(age_when_sold, age_years=own["age_years"], years_kept=own["years_kept"])
        salvage = work(
            remaining_value,
            list_price=own["list_price"],
            c1=case.reference(f"machine.remaining_value.{kind}.c1"),
            c2=case.reference(f"machine.remaining_value.{kind}.c2"),
            c3=case.reference(f"machine.remaining_value.{kind}.c3"),
            age_years=age_sold,
            hours_per_year_of_life=work(
                hours_per_year_of_life, hours=hours_sold, age_years=age_sold
            ),
        )
        return work(
            ownership_per_hour,
            capital_recovery_per_year=work(
                machine_recovery_per_year,
                price=own["price"],
                salvage_value=salvage,
                capital_recovery=work(
                    capital_recovery_factor,
                    discount_rate=self.discount_rate,
                    years=own["years_kept"],
                ),
                discount_rate=self.discount_rate,
            ),
            taxes_insurance_housing=work(
                taxes_insurance_housing,
                price=own["price"],
                fraction=case.reference("machine.taxes_insurance_housing_fraction"),
            ),
            hours_per_year=own["hours_per_year"],
        )


def _discount_rate(case: Case) -> Figure:
    finance = case.scenario.finance
    if finance.real_rate is not None:
        return case.given("finance.real_rate", finance.real_rate, "fraction/year")
    return case.work(
        real_rate,
        nominal_rate=case.given("finance.nominal_rate", finance.nominal_rate, "fraction/year"),
        inflation_rate=case.given("finance.inflation", finance.inflation, "fraction/year"),
    )
