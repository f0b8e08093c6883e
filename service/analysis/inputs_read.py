"""Which numbers a costing reads, by path: an input that no system uses is not among them."""

from collections.abc import Sequence
from typing import Any

from service.costing.case import Case, Cell
from service.costing.figure import Figure
from service.costing.overrides import ASSUMPTIONS
from service.costing.scenario import Scenario


class ReadingCase(Case):
    """A case that notes every number it is asked for, with the value that it has."""

    def __init__(self, scenario: Scenario) -> None:
        super().__init__(scenario)
        self.read: dict[str, float] = {}

    def given(self, path: str, value: Any, unit: str) -> Figure:  # noqa: ANN401 - number or word
        """Return the figure of one input of the scenario, and note it."""
        if isinstance(value, int | float) and not isinstance(value, bool):
            self.read[path] = float(value)
        return super().given(path, value, unit)

    def value(self, key: str) -> float:
        """Return a numeric reference value, and note it."""
        value = super().value(key)
        self.read[f"{ASSUMPTIONS}.{key}"] = value
        return value

    def array(self, cells: Sequence[Cell], shape: tuple[int, ...], unit: str) -> Figure:
        """Return a figure that holds many inputs, and note each."""
        self.read |= {cell[0]: float(cell[1]) for cell in cells if cell is not None}
        return super().array(cells, shape, unit)
