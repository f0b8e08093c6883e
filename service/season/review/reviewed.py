"""A winter as it was, held against the plan of one system."""

from collections.abc import Iterator

from service.season.as_it_was import PlannedWinter
from service.season.facts import WinterFacts
from service.season.review.game import Game, play
from service.season.review.lines import split_lines, total_of
from service.season.review.offsets import Recorded, recorded
from service.season.review.quantities import quantities_reviewed
from service.season.review.records import Review, Unknown
from service.season.review.sentences import three_sentences
from service.season.review.unknowns import (
    days_not_held,
    not_priced,
    not_recorded,
    weather_not_known,
)

METHOD = (
    "Planned is what the system costs in the mean of the plan's winters, without real price rises. "
    "Each line is then worked by the plan's own figures for every mixture of weather, prices and "
    "way of feeding, each as planned or as it was: eight in all. The share of each of the three is "
    "the mean of what it adds over the six orders in which they can be exchanged (the Shapley "
    "value: Shapley, L. S. (1953), A value for n-person games, Annals of Mathematics Studies 28; "
    "from memory), so the shares add up exactly and no order is preferred. What was written down "
    "counts as way of feeding as far as it differs from what the plan's figures take in such a "
    "winter; what was not written down is what they take. Prices paid are of that winter and those "
    "of the plan of its price year: inflation between them is in the share of prices. What is "
    "built, its upkeep and its cost-share stand as planned, and so do the prices of repair and of "
    "grass. The worth of nutrients and late-summer hay follow from the plan's figures."
)


def reviewed(planned: PlannedWinter, facts: WinterFacts) -> Review:
    """Hold a winter as it was against the plan, and split the difference.

    Parameters
    ----------
    planned : PlannedWinter
        The plan of the system that was used.
    facts : WinterFacts
        What is known of the winter; any subset.

    Raises
    ------
    InputError
        If the plan does not feed every animal on every day of the winter as it was.
    """
    game = play(planned, facts)
    told = recorded(game)
    lines = split_lines(game, told)
    total = total_of(lines)
    quantities = quantities_reviewed(game)
    unknown = tuple(_unknown(game, told))
    title = planned.system.title or planned.key.replace("_", " ")
    return Review(
        season=planned.season.name,
        system=planned.key,
        title=title,
        currency=planned.scenario.currency,
        lines=lines,
        total=total,
        quantities=quantities,
        sentences=three_sentences(game, lines, total, unknown),
        unknown=unknown,
        method=METHOD,
        weather_from=game.weather_from,
    )


def _unknown(game: Game, told: Recorded) -> Iterator[Unknown]:
    yield from weather_not_known(game, told.money)
    yield from days_not_held(game)
    yield from not_recorded(game, told.money)
    yield from not_priced(game, told.money)
    yield from told.unknown
