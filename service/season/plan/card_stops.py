"""When a step of the plan ends on a morning, and where its animals go next."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.methods import METHODS
from service.costing.units import HOURS_PER_DAY, STATES
from service.costing.wording import amount, count
from service.season.figures import figure_of
from service.season.plan.card_records import Rule
from service.season.plan.card_words import groups_on, resting_place, where

Document = Mapping[str, Any]

SOFT = "wet"
PRINT_DEPTH = "card.print_depth"
LEAST_DAYS = 0.05
"""Of a mean winter; a step that serves fewer on a state of the ground is not spoken of."""


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps of one system with the inputs that they name."""

    inputs: Document
    system: Document
    """As it was described."""
    served: Mapping[str, Mapping[str, float]]
    """Days of a mean winter by step and ground state [day]."""

    @property
    def plan(self) -> Sequence[Document]:
        """The steps in their order."""
        return self.system["plan"]

    def serves(self, step: Document, state: str) -> bool:
        """Whether a step gets its animals on a state of the ground at all."""
        return self.served.get(step["key"], {}).get(state, 0) >= LEAST_DAYS

    def others(self, step: Document) -> tuple[list[Document], list[Document]]:
        """Return the later and the earlier steps that some of a step's animals are on."""
        place = self.plan.index(step)
        groups = set(groups_on(self.inputs["herd"], step))

        def shared(steps: Sequence[Document]) -> list[Document]:
            herd = self.inputs["herd"]
            return [other for other in steps if groups & set(groups_on(herd, other))]

        return shared(self.plan[place + 1 :]), shared(self.plan[:place])

    def next_on(self, step: Document, state: str) -> Document | None:
        """Return the step that takes over on a state of the ground when this one ends."""
        later, _ = self.others(step)
        return self._first(later, state)

    def refuge(self, step: Document) -> Document | None:
        """Return the step that takes the same animals when the ground goes soft.

        Ground that would be left for the same reason comes last. A step before it counts only
        where the step itself is not meant for soft ground.
        """
        later, earlier = self.others(step)
        steps = later if _allows(step, SOFT) else [*later, *earlier]
        firm = self._first([other for other in steps if not _spared(other)], SOFT)
        return firm or self._first(steps, SOFT)

    def _first(self, steps: Sequence[Document], state: str) -> Document | None:
        allowed = [step for step in steps if _allows(step, state)]
        used = [step for step in allowed if self.serves(step, state)]
        return next(iter(used or allowed), None)

    def place(self, step: Document) -> str:
        """Return what the place of a step is called."""
        return where(self.inputs, self.system, step)


def stops_of(steps: Steps, step: Document, state: str) -> tuple[Rule, ...]:
    """Return when a step ends on a state of the ground, each with the next place."""
    rules = list(_stops(steps, step, state))
    if not rules:
        always = all(_allows(step, other) for other in STATES)
        rules.append(Rule("at the end of winter" if always else "when the ground changes"))
    return tuple(rules)


def _stops(steps: Steps, step: Document, state: str) -> Iterator[Rule]:
    follower = steps.next_on(step, state)
    if _spared(step) and (refuge := steps.refuge(step)) is not None:
        depth = figure_of(PRINT_DEPTH)
        words = f"prints deeper than {amount(depth.usual)} {depth.unit} at the gate"
        yield _going(steps, words, step, refuge)
    if step.get("min_spell_days", 1) > 1:
        words = f"spells shorter than {amount(step['min_spell_days'])} days"
        yield _going(steps, words, step, follower)
    if step["method"] == "stockpile_grazing":
        yield _going(steps, f"{amount(step['acres'])} acres grazed off", step, follower)
    if step["method"] == "bale_grazing":
        yield _going(steps, f"{count(step['bales_set_out'])} bales eaten", step, follower)
    if step.get("max_days") is not None:
        yield _going(steps, f"after {amount(step['max_days'])} days in all", step, follower)


def _spared(step: Document) -> bool:
    """Whether a step stands on land that is not given up for the winter."""
    given_up = step["method"] == "sacrifice_lot" and _allows(step, SOFT)
    return METHODS[step["method"]].needs_field and not given_up


def _going(steps: Steps, words: str, step: Document, to: Document | None) -> Rule:
    if to is None:
        return Rule(words)
    if steps.place(to) == steps.place(step):
        return Rule(f"{words}: to the next line")
    return Rule(f"{words}: to", steps.place(to))


def keeps_of(steps: Steps, step: Document) -> tuple[Rule, ...]:
    """Return what to do while a step lasts: moves of the wire, hours, rest."""
    return tuple(_keeps(steps, step))


def _keeps(steps: Steps, step: Document) -> Iterator[Rule]:
    moved = step.get("days_per_move")
    if moved is not None:
        often = "every day" if moved == 1 else f"every {amount(moved)} days"
        yield Rule(f"move the wire {often}")
    hours = step.get("hours_on_method", HOURS_PER_DAY)
    if hours < HOURS_PER_DAY:
        rest = resting_place(steps.inputs, steps.system, step)
        on = ", then rest on" if rest else ", then back to rest"
        yield Rule(f"{amount(hours)} hours a day{on}", rest)


def _allows(step: Document, state: str) -> bool:
    states = step.get("ground_states")
    return not states or state in states
