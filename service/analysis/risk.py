"""Risk: what systems cost over many draws of winters, prices, yields and waste.

Each draw has one winter, taken whole, and its own values of the inputs that vary; it is the same
for all systems. The values vary around the winter: where a winter has a factor on the hay price,
the price drawn is times that. Inputs are drawn apart from each other. A cost is that of a horizon
of winters like the one drawn, so draws differ more than the years of a farm would on average.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from service.analysis.draw_table import DrawTable, Form
from service.analysis.draw_values import BLOCK, Draws, Spread
from service.analysis.draws import drawn_winters
from service.analysis.inputs import Known, allowed_at, known_of
from service.analysis.questions import Risk, Vary
from service.analysis.ranges import InputRange, ranges_in
from service.analysis.risk_answer import answer_of
from service.analysis.risk_faults import MEAN, faults_of_risk
from service.analysis.subject import Subject
from service.analysis.varied_by_default import is_varied_by_default
from service.analysis.work import Document, Work
from service.costing.draw_axis import fits_draw_axis
from service.costing.errors import Fault, InputError
from service.costing.margin import has_herd_change

PART_DRAWS = 2 * BLOCK
"""Draws of one part of the work."""


def risk(subject: Subject, question: Risk) -> Work:
    """Return the work that answers what systems cost over many draws.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    known = known_of(subject)
    faults = faults_of_risk(subject, known, question)
    if faults:
        raise InputError(faults)
    ranges = ranges_in(known, subject)
    spreads = (
        _usual_spreads(known, ranges)
        if question.vary is None
        else [_spread(known, path, vary, asked=True) for path, vary in question.vary.items()]
    )
    winters = known.costing.winters
    draws = Draws(
        count=question.draws,
        seed=question.seed,
        weights=winters.weight.value[:-1].tolist(),
        mean_winter=question.winters == MEAN,
        spreads=spreads,
    )
    return RiskWork(subject, question, known, ranges, draws)


def _usual_spreads(known: Known, ranges: dict[str, InputRange]) -> list[Spread]:
    """Return the spreads of prices, yields and waste."""
    return [
        _spread(known, path, _widened(item), asked=False)
        for path, item in ranges.items()
        if is_varied_by_default(path) and fits_draw_axis(path)
    ]


def _widened(item: InputRange) -> Vary:
    """Return a range that holds the value in use, which is taken for the usual one."""
    return Vary(low=min(item.low, item.base), usual=item.base, high=max(item.high, item.base))


def _spread(known: Known, path: str, vary: Vary, *, asked: bool) -> Spread:
    allowed = allowed_at(path, known.values)
    return Spread(
        path=path,
        low=float(vary.low),
        usual=float(vary.usual),
        high=float(vary.high),
        base=float(known.values[path]),
        whole=allowed is not None and allowed.whole,
        asked=asked,
    )


@dataclass(frozen=True)
class RiskWork:
    """The draws, worked in parts; the same whatever worker does which."""

    subject: Subject
    question: Risk
    known: Known
    ranges: dict[str, InputRange]
    draws: Draws

    @property
    def total(self) -> int:
        """Parts that it has."""
        return -(-self.draws.count // PART_DRAWS)

    @property
    def _form(self) -> Form:
        costing = self.known.costing
        return Form(len(costing.systems), has_herd_change(costing))

    def _size(self, number: int) -> int:
        return min(PART_DRAWS, self.draws.count - number * PART_DRAWS)

    def part(self, number: int) -> bytes:
        """Work the draws of one part."""
        table = DrawTable.empty(self._form, self._size(number))
        first = number * (PART_DRAWS // BLOCK)
        last = min(first + PART_DRAWS // BLOCK, self.draws.blocks)
        for block in range(first, last):
            picked, values = self.draws.drawn(block)
            drawn = drawn_winters(self.subject.scenario, values, picked)
            table.place((block - first) * BLOCK, DrawTable.of(drawn, picked))
        if not (np.isfinite(table.costs).all() and np.isfinite(table.scores).all()):
            detail = "Some of the draws cannot be costed; narrow what is varied."
            raise InputError([Fault("vary", detail)])
        return table.packed(self._form)

    def result(self, parts: Iterable[bytes]) -> Document:
        """Return the answer, from what the parts came to in the order of their numbers."""
        form = self._form
        table = DrawTable.empty(form, self.draws.count)
        for number, part in enumerate(parts):
            size = self._size(number)
            table.place(number * PART_DRAWS, DrawTable.unpacked(part, form, size))
        return answer_of(self.known.costing, self.question, self.draws, self.ranges, table)
