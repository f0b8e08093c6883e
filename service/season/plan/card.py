"""The morning card: for each state of the ground who eats what, where, how much, until when."""

from collections.abc import Mapping
from typing import Any

from service.costing.units import STATES
from service.season.figures import COMMON_PRACTICE, MARKS, figure_of
from service.season.plan.card_portions import Portions, portions_of
from service.season.plan.card_records import Card, CardCaution, CardStep, GroundCard
from service.season.plan.card_stops import LEAST_DAYS, PRINT_DEPTH, Steps, keeps_of, stops_of
from service.season.plan.card_words import GROUND, MORNING, TELL, feed, who
from service.season.subject import SeasonSubject

Document = Mapping[str, Any]


def card_of(subject: SeasonSubject) -> Card:
    """Return the morning card of a system."""
    triggered = {caution["caution"] for caution in subject.result["cautions"]}
    return Card(
        system=subject.key,
        title=subject.result["title"],
        season=subject.season,
        grounds=ground_cards(subject.body, subject.result, portions_of(subject)),
        cautions=tuple(
            CardCaution(key, words) for key, words in MORNING.items() if key in triggered
        ),
        bale_weight_lb=subject.scenario.hay.bale_weight_lb,
        tell_mark=MARKS[COMMON_PRACTICE],
        rules_mark=figure_of(PRINT_DEPTH).mark,
    )


def ground_cards(
    costing: Document, system: Document, portions: Portions | None = None
) -> tuple[GroundCard, ...]:
    """Return what a system does on each state of the ground that a winter has.

    Parameters
    ----------
    costing : mapping
        The costing as a document.
    system : mapping
        One of its systems.
    portions : mapping, optional
        How much each step takes; a document does not hold it.
    """
    inputs = costing["inputs_used"]
    steps = Steps(inputs, inputs["systems"][system["system"]], system["quantities"]["served_days"])
    days = costing["winter"]["ground_days"]
    return tuple(
        GroundCard(
            state, GROUND[state], TELL[state], days[state], _on(steps, state, portions or {})
        )
        for state in STATES
        if days[state] >= LEAST_DAYS
    )


def _on(steps: Steps, state: str, portions: Portions) -> tuple[CardStep, ...]:
    return tuple(
        CardStep(
            step=step["key"],
            who=who(steps.inputs["herd"], step),
            where=steps.place(step),
            feed=feed(step),
            portions=portions.get(step["key"], {}).get(state, ()),
            keep=keeps_of(steps, step),
            stop=stops_of(steps, step, state),
        )
        for step in steps.plan
        if steps.serves(step, state)
    )
