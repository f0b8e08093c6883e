"""What the hand-written kernel reads: values of the farm, and its winters laid out by draw."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from service.costing.case import Picks
from service.costing.reference.table import load_edition
from service.costing.units import Array, Numeric
from tests.benchmarks.kernel_farm import EDITION, STATES


@cache
def tasks_of(owner: str) -> list[str]:
    """Return the names of the tasks of a method or a structure."""
    keys = [key.split(".") for key in load_edition(EDITION).rows]
    return [
        names[2] for names in keys if (names[0], names[-1]) == ("work", "per") and names[1] == owner
    ]


class Farm:
    """Values of the farm: as drawn where they differ, else as given."""

    def __init__(self, document: Mapping[str, Any], varied: Mapping[str, Array]) -> None:
        self.document = document
        self.varied = varied
        self.rows = load_edition(EDITION).rows

    def given(self, path: str) -> Any:
        """Return an input of the document."""
        if path in self.varied:
            return self.varied[path]
        node: Any = self.document
        for name in path.split("."):
            node = node[name]
        return node

    def ref(self, key: str) -> Any:
        """Return a reference value."""
        return self.varied.get(f"assumptions.{key}", self.rows[key].usual)

    def by_state(self, key: str, states: tuple[str, ...] = STATES) -> Array:
        """Return a reference value of each ground state, 0 where it does not apply."""
        values = [self.ref(key.format(state)) if state in states else 0.0 for state in STATES]
        return np.stack(np.broadcast_arrays(*np.atleast_2d(*values))).astype(float)[:, 0]


@dataclass(frozen=True)
class Winters:
    """All draws, and last the made-up mean winter; states first where there are any."""

    days: Array
    temperature: Array
    spell: Array
    rain: Array
    hay_price: Numeric

    @classmethod
    def of(cls, farm: Farm, picked: Picks) -> "Winters":
        """Lay out the winters that were picked."""
        rows = farm.document["winter"]["rows"]
        weight = np.array([row["weight"] for row in rows])
        wanted = np.append(picked, -1)

        def item(read: Any) -> Array:
            table = np.array([read(row) for row in rows], float).T
            mean = (table * weight).sum(axis=-1, keepdims=True) / weight.sum()
            return np.concatenate([table, mean], axis=-1)[..., wanted]

        def states(name: str) -> Array:
            return item(lambda row: [row[name][state] for state in STATES])

        spell = np.array([farm.given(f"winter.spell_days.{state}") for state in STATES])
        return cls(
            days=states("ground_days"),
            temperature=states("effective_temperature_f"),
            spell=spell[:, None],
            rain=item(lambda row: row["rain_in"]),
            hay_price=farm.given("hay.price_per_ton") * item(lambda row: row["hay_price_factor"]),
        )
