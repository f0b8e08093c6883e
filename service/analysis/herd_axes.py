"""The axes of a herd size question: which animals, which grass, and what is wrong with them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.analysis.questions import MOST_POINTS, Axis, HerdSize
from service.costing.checks.declared import entry_of
from service.costing.checks.phrases import choice, exact, short
from service.costing.errors import Fault, nearest
from service.costing.farm import Group
from service.costing.methods.stockpile_grazing import StockpileGrazing
from service.costing.plan import HerdChange, System
from service.costing.scenario import Scenario

NO_CHANGE = HerdChange(head=0.0, price_per_head=0.0)
SLACK = 1e-9
"""Relative; acres that are the whole field are not more than the field."""


@dataclass(frozen=True, slots=True)
class HeadAxis:
    """How many animals of one group there are."""

    path: str
    group: str
    herd: float
    """Animals of the group in the herd today [head]."""
    change: HerdChange
    """What the system buys or sells of them today."""
    bought: bool
    """Whether the axis is what is bought or sold, rather than the herd."""

    @property
    def present(self) -> float:
        """Value of the input today [head]."""
        return self.change.head if self.bought else self.herd

    def kept(self, value: float) -> float:
        """Return the animals that the system feeds at a value of the axis [head]."""
        return self.herd + value if self.bought else value + self.change.head

    def paid(self, value: float) -> float:
        """Return what is paid for animals bought, less what is got for those sold [currency]."""
        return (value if self.bought else self.change.head) * self.change.price_per_head


@dataclass(frozen=True, slots=True)
class AcresAxis:
    """How many acres one step grazes as stockpile."""

    path: str
    step: str
    present: float
    most: float
    """Acres of its field that no other step shuts [acre]."""


@dataclass(frozen=True, slots=True)
class Axes:
    """Both axes; that of acres only where it is asked for."""

    head: HeadAxis
    acres: AcresAxis | None


def axes_of(scenario: Scenario, question: HerdSize) -> tuple[Axes | None, list[Fault]]:
    """Return the axes of a question, None if no animals are named, and every fault of them."""
    faults = list(_crowding(question))
    system = scenario.systems.get(question.system)
    if system is None:
        faults.append(_unknown("system", "system", question.system, list(scenario.systems)))
    heads = _head_axes(scenario, question.system)
    head = heads.get(question.head.input)
    if head is None:
        faults.append(_unknown("head.input", "head of animals", question.head.input, list(heads)))
    else:
        faults += _head_values(head, question.head.values)
    acres = None
    if question.acres is not None and system is not None:
        known = _acres_axes(scenario, question.system, system)
        acres = known.get(question.acres.input)
        if acres is None:
            faults.append(_not_shut(question.system, question.acres, list(known)))
        else:
            faults += _acres_values(acres, question.acres.values)
    return (None if head is None else Axes(head, acres)), faults


def _head_axes(scenario: Scenario, name: str) -> Mapping[str, HeadAxis]:
    system = scenario.systems.get(name)
    changes = system.herd_change if system else {}
    axes = [
        HeadAxis(f"herd.{key}.head", key, group.head, changes.get(key, NO_CHANGE), bought=False)
        for key, group in scenario.herd.items()
    ]
    axes += [
        HeadAxis(
            f"systems.{name}.herd_change.{key}.head",
            key,
            scenario.herd[key].head,
            change,
            bought=True,
        )
        for key, change in changes.items()
    ]
    return {axis.path: axis for axis in axes}


def _acres_axes(scenario: Scenario, name: str, system: System) -> Mapping[str, AcresAxis]:
    shut = {key: step for key, step in system.steps.items() if isinstance(step, StockpileGrazing)}
    axes: dict[str, AcresAxis] = {}
    for key, step in shut.items():
        others = sum(
            other.acres for at, other in shut.items() if at != key and other.field == step.field
        )
        field = scenario.land.fields[step.field or ""]
        path = f"systems.{name}.plan.{key}.acres"
        axes[path] = AcresAxis(path, key, step.acres, field.acres - others)
    return axes


def _crowding(question: HerdSize) -> Iterator[Fault]:
    count = len(question.head.values)
    if question.acres is not None:
        count *= len(question.acres.values)
    if count > MOST_POINTS:
        yield Fault(
            "head.values",
            f"The values make {count:,} points; at most {MOST_POINTS} are worked at once.",
            received=count,
            allowed=f"at most {MOST_POINTS}",
        )


def _head_values(axis: HeadAxis, values: Sequence[float]) -> Iterator[Fault]:
    entry = entry_of(HerdChange if axis.bought else Group, "head")
    yield from _listed("head.values", values)
    wrong = [value for value in values if not _within(value, entry.ge, entry.le)]
    if wrong:
        yield Fault(
            "head.values",
            f"{exact(wrong[0])} is out of the range of {axis.path}.",
            received=wrong[0],
            allowed=entry.allowed,
            unit=entry.unit,
        )
    none_left = [value for value in values if value not in wrong and axis.kept(value) <= 0]
    if none_left:
        least = -axis.herd if axis.bought else -axis.change.head
        yield Fault(
            "head.values",
            f"At {exact(none_left[0])} no {axis.group} are left to feed.",
            received=none_left[0],
            allowed=f"more than {exact(least)}",
            unit=entry.unit,
        )


def _acres_values(axis: AcresAxis, values: Sequence[float]) -> Iterator[Fault]:
    yield from _listed("acres.values", values)
    most = axis.most * (1 + SLACK)
    wrong = [value for value in values if not _within(value, 0.0, most)]
    if wrong:
        yield Fault(
            "acres.values",
            f"{exact(wrong[0])} acres cannot be shut for {axis.step}: its field has "
            f"{exact(axis.most)} that no other step shuts.",
            received=wrong[0],
            allowed=f"from 0 to {exact(axis.most)}",
            unit="acre",
        )


def _listed(path: str, values: Sequence[float]) -> Iterator[Fault]:
    """Yield a list that is empty, or has a value twice."""
    if not values:
        yield Fault(path, "The list is empty; give at least one value.", received=0)
    twice = next((value for value in values if values.count(value) > 1), None)
    if twice is not None:
        yield Fault(path, f"{exact(twice)} stands in the list twice; give it once.", received=twice)


def _within(value: float, least: float | None, most: float | None) -> bool:
    return (least is None or value >= least) and (most is None or value <= most)


def _unknown(path: str, what: str, word: str, known: Sequence[str]) -> Fault:
    near = nearest(word, known)
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        path,
        f"There is no {what} called {short(word)!r}{hint}",
        received=word,
        allowed=choice(known),
        suggestion=near,
    )


def _not_shut(system: str, acres: Axis, known: Sequence[str]) -> Fault:
    if not known:
        return Fault(
            "acres.input",
            f"{system} has no step of stockpile_grazing, so it shuts no acres; leave acres out.",
            received=acres.input,
        )
    near = nearest(acres.input, known)
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        "acres.input",
        f"{short(acres.input)!r} is not the acres of a step of stockpile_grazing of {system}{hint}",
        received=acres.input,
        allowed=choice(known),
        suggestion=near,
    )
