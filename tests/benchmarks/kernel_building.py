"""What structures cost a year, for the hand-written kernel: one number each, whatever the draw."""

from collections.abc import Mapping
from typing import Any, Protocol


class Values(Protocol):
    """Where values are read."""

    def given(self, path: str) -> Any:
        """Return an input of the farm."""
        ...

    def ref(self, key: str) -> Any:
        """Return a reference value."""
        ...


def cost_of_structures(
    farm: Values, structures: Mapping[str, Any], sizes: Mapping[str, float]
) -> dict[str, float]:
    """Return the annual equivalents of building, upkeep and cost-share [currency/year]."""
    rate, years = farm.given("finance.real_rate"), int(farm.given("finance.horizon_years"))
    recovery = rate / (1 - (1 + rate) ** -years)

    def levelled(flows: list[float]) -> float:
        return recovery * sum(flow / (1 + rate) ** year for year, flow in enumerate(flows))

    lines = {"structures": 0.0, "structure_upkeep": 0.0, "cost_share": 0.0}
    for structure in structures.values():
        kind = structure["kind"]
        base = f"structure.{kind}"
        cost = farm.ref(f"{base}.base_cost") + sizes[kind] * farm.ref(f"{base}.unit_cost")
        cost *= 1 + structure.get("contingency_fraction", 0.0)
        life = int(farm.ref(f"{base}.life_years"))
        salvage = cost * farm.ref(f"{base}.salvage_fraction")
        first = int(structure.get("remaining_life_years", 0))
        flows = [0.0] * (years + 1)
        for year in range(first, years, life):
            flows[year] = cost if year == first else cost - salvage
        if first < years:
            left = -(years - first) % life / life
            flows[years] -= left * (cost - salvage) + salvage
        lines["structures"] += levelled(flows)
        yearly = [0.0] + [cost * farm.ref(f"{base}.upkeep_fraction")] * years
        if kind == "gravel_pad":
            top_up = sizes[kind] * farm.ref(f"{base}.resurface_unit_cost")
            every = int(farm.ref(f"{base}.resurface_years"))
            for year in range(1, years):
                age = year % life
                yearly[year] += top_up if age > 0 and age % every == 0 else 0.0
        lines["structure_upkeep"] += levelled(yearly)
        if share := structure.get("cost_share"):
            granted = [0.0] * (years + 1)
            granted[share["payment_year"]] = -min(share["rate"] * cost, share["cap"], cost)
            lines["cost_share"] += levelled(granted)
    return lines
