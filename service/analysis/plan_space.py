"""Which plans there are: every order of steps, on every ground, with every choice and limit.

A layout is a plan without its numbers; layouts are counted and numbered without being written out,
so that some can be picked evenly of millions. Plans that only say another in other words are left
out: a step with nothing left to serve, and steps on different ground in both orders.
"""

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import accumulate, chain, combinations, pairwise, permutations, product

from service.analysis.plan_sources import Document
from service.analysis.plan_steps import Offer, Stand, States, Template

Numbers = tuple[tuple[int, str, Sequence[float]], ...]
"""Position of a step, name of its limit, values."""


@dataclass(frozen=True)
class Laid:
    """One step of a layout."""

    template: Template
    states: States | None
    """None for the last step, which takes all."""
    offer: Offer
    stand: Stand


@dataclass(frozen=True)
class Layout:
    """A plan without its numbers."""

    steps: Sequence[Laid]
    hay: tuple[Document, Document]
    """Where hay is kept: member of the system, and structures."""
    left_out: frozenset[str]
    """Kinds of structure that are not built."""


@dataclass(frozen=True)
class Space:
    """All plans that can be made of some templates."""

    templates: Sequence[Template]
    states: States
    """The ground states that come."""
    hay: Sequence[tuple[Document, Document]]
    may_be_left_out: Sequence[str]
    max_steps: int

    @cached_property
    def orders(self) -> list[tuple[int, ...]]:
        """Orders of templates whose last can take all that is left, the shortest first."""
        numbers = range(len(self.templates))
        every = chain.from_iterable(
            permutations(numbers, steps) for steps in range(1, self.max_steps + 1)
        )
        return [order for order in every if self.templates[order[-1]].ends]

    @cached_property
    def most_orders(self) -> int:
        """How many orders there are at most, counted before any is written down."""
        several = len(self.templates)
        return sum(math.perm(several, steps) for steps in range(1, self.max_steps + 1))

    @cached_property
    def left_out(self) -> list[frozenset[str]]:
        """The sets of kinds that may be left out."""
        kinds = self.may_be_left_out
        sizes = range(len(kinds) + 1)
        return [frozenset(some) for size in sizes for some in combinations(kinds, size)]

    @cached_property
    def ends(self) -> list[int]:
        """Layouts of all orders up to and with each."""
        return list(accumulate(self._layouts_of(order) for order in self.orders))

    @property
    def layouts(self) -> int:
        """How many layouts there are."""
        return self.ends[-1] if self.ends else 0

    @cached_property
    def plans(self) -> int:
        """How many plans there are: layouts with each of their numbers."""
        return sum(
            self._layouts_of(order) * settings_in(self.numbers(order)) for order in self.orders
        )

    def order_of(self, layout: int) -> int:
        """Return the number of the order of a layout."""
        return bisect_right(self.ends, layout)

    def settings_of_order(self, order: int) -> int:
        """Return how many plans each layout of an order stands for."""
        return settings_in(self.numbers(self.orders[order]))

    def numbers(self, order: Sequence[int]) -> Numbers:
        """Return the limits of the steps of an order, with their values."""
        return _numbers([self.templates[number] for number in order])

    def layout(self, number: int) -> Layout:
        """Return a layout by its number."""
        position = self.order_of(number)
        order = self.orders[position]
        rest = number - (self.ends[position - 1] if position else 0)
        templates = [self.templates[item] for item in order]
        choices: list[Sequence[object]] = [self.left_out, self.hay]
        choices += [template.offers for template in templates]
        choices += [template.stands for template in templates]
        grounds = self._grounds(order[:-1])
        chosen: list[object] = []
        for several in choices:
            rest, which = divmod(rest, len(several))
            chosen.append(several[which])
        left_out, hay, *others = chosen
        offers, stands = others[: len(order)], others[len(order) :]
        states = (*grounds[rest], None)
        steps = [Laid(*step) for step in zip(templates, states, offers, stands, strict=True)]  # pyright: ignore[reportArgumentType] - chosen of the lists of these types
        return Layout(steps, hay, left_out)  # pyright: ignore[reportArgumentType] - likewise

    def _layouts_of(self, order: tuple[int, ...]) -> int:
        templates = [self.templates[number] for number in order]
        choices = math.prod(len(item.offers) * len(item.stands) for item in templates)
        several = len(self._grounds(order[:-1]))
        return choices * several * len(self.hay) * len(self.left_out)

    @cached_property
    def _grounds(self) -> Callable[[tuple[int, ...]], list[tuple[States, ...]]]:
        return lru_cache(maxsize=None)(self._grounds_of)

    def _grounds_of(self, earlier: tuple[int, ...]) -> list[tuple[States, ...]]:
        """Return the ground of the steps before the last, in every way that is worth looking at."""
        every = product(*[self.templates[number].ground for number in earlier])
        return [grounds for grounds in every if self._is_worth_it(earlier, grounds)]

    def _is_worth_it(self, earlier: tuple[int, ...], grounds: tuple[States, ...]) -> bool:
        taken: States = frozenset()
        for number, states in zip(earlier, grounds, strict=True):
            if states <= taken:
                return False
            if self.templates[number].takes_all:
                taken |= states
        if earlier and self.states <= taken:
            return False
        pairs = pairwise(zip(earlier, grounds, strict=True))
        return all(first < second or one & other for (first, one), (second, other) in pairs)


def numbers_of(layout: Layout) -> Numbers:
    """Return the limits of the steps of a layout, with their values."""
    return _numbers([step.template for step in layout.steps])


def settings_in(numbers: Numbers) -> int:
    """Return how many ways there are to choose a value of each limit."""
    return math.prod(len(values) for _, _, values in numbers)


def setting(numbers: Numbers, which: int) -> dict[tuple[int, str], float]:
    """Return one choice of values, by its number."""
    chosen: dict[tuple[int, str], float] = {}
    for position, name, values in reversed(numbers):
        which, place = divmod(which, len(values))
        chosen[position, name] = values[place]
    return chosen


def _numbers(templates: Sequence[Template]) -> Numbers:
    last = len(templates) - 1
    return tuple(
        (position, name, values)
        for position, template in enumerate(templates)
        for name, values in template.limits_at(last=position == last).items()
    )
