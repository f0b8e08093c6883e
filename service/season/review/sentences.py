"""A review in three sentences: what it cost, why, and what stands out."""

from collections.abc import Iterator, Sequence

from service.costing.averages import mean
from service.costing.wording import amount, count, listed, named, sentence
from service.season.replayed import Replayed
from service.season.review.game import Game
from service.season.review.lines import moved_by_winter
from service.season.review.quantities import wet_days
from service.season.review.records import LineReview, Unknown
from service.season.review.unknowns import CALLED, given, line_names

NEAREST, NEAREST_SMALL = 100, 10
SMALL = 1_000
MOST_NAMED = 3


def money(value: float) -> str:
    """Return an amount without its sign: to the nearest 100, below 1,000 to the nearest 10."""
    size = abs(value)
    nearest = NEAREST_SMALL if size < SMALL else NEAREST
    return f"{round(size / nearest) * nearest:,.0f}"


def three_sentences(
    game: Game, lines: Sequence[LineReview], total: LineReview, unknown: Sequence[Unknown]
) -> tuple[str, str, str]:
    """Return the three sentences of a review."""
    return (
        _what_it_cost(game, lines, total),
        _why(game, total),
        _what_stands_out(game, lines, unknown),
    )


def _what_it_cost(game: Game, lines: Sequence[LineReview], total: LineReview) -> str:
    planned, currency = game.planned, game.planned.scenario.currency
    title = named(planned.system.title, planned.key)
    more = total.actual - total.planned
    held = (
        f"{money(more)} {currency} {'more' if more > 0 else 'less'} than the "
        f"{_signed(total.planned)} {currency} planned"
        if _said(more)
        else "as planned"
    )
    cost = f"The winter of {planned.season.name} cost {_signed(total.actual)} {currency}"
    return f"{cost} with {title}: {held}{_how_much_was_recorded(lines, currency)}."


def _how_much_was_recorded(lines: Sequence[LineReview], currency: str) -> str:
    moved = moved_by_winter(lines)
    told = sum(abs(line.actual) for line in moved if line.recorded)
    if 2 * told >= sum(abs(line.actual) for line in moved):
        return ""
    rest = "what such a winter takes by the plan's figures"
    if not any(line.recorded for line in moved):
        return f"; no quantity of it was written down, so it is {rest}"
    names = line_names(line.line for line in moved if line.recorded)
    return f"; only {names} ({money(told)} {currency}) were written down, the rest is {rest}"


def _why(game: Game, total: LineReview) -> str:
    currency = game.planned.scenario.currency
    causes: list[tuple[str, float, list[str]]] = [
        ("weather", total.weather, _reasons_of_weather(game)),
        ("prices", total.price, []),
        ("how you fed", total.practice, []),
    ]
    causes = [cause for cause in causes if _said(cause[1])]
    causes.sort(key=lambda cause: -abs(cause[1]))
    parts = [_cause(name, share, reasons, currency) for name, share, reasons in causes]
    if _said(total.not_split):
        way = "cost" if total.not_split > 0 else "saved"
        parts.append(
            f"weather and how you fed, which cannot be told apart here, {way} "
            f"{money(total.not_split)} {currency}"
        )
    if not parts:
        return "As far as was written down, weather, prices and how you fed were as planned."
    *first, last = parts
    return f"{sentence(', '.join(first) + ', and ' + last if first else last)}."


def _cause(name: str, share: float, reasons: Sequence[str], currency: str) -> str:
    way = "cost" if share > 0 else "saved"
    why = f" ({'; '.join(reasons)})" if reasons else ""
    return f"{name} {way} {money(share)} {currency}{why}"


def _reasons_of_weather(game: Game) -> list[str]:
    return [*_wet(game), *_length(game), *_autumn(game)]


def _wet(game: Game) -> Iterator[str]:
    before, after = (count(wet_days(each)) for each in (game.plan, game.such_a_winter))
    if game.ground_known and before != after:
        yield f"{after} wet days against {before} planned"


def _length(game: Game) -> Iterator[str]:
    more = game.such_a_winter.quantities.days - game.plan.quantities.days
    if count(abs(more)) != "0":
        days = "day" if count(abs(more)) == "1" else "days"
        yield f"{count(abs(more))} {days} {'longer' if more > 0 else 'shorter'}"


def _autumn(game: Game) -> Iterator[str]:
    steps = game.planned.system.steps.values()
    if not any(step.method == "stockpile_grazing" for step in steps):
        return
    before, after = (amount(_growth(each)) for each in (game.plan, game.such_a_winter))
    if before != after:
        yield f"autumn growth {after} times the usual against {before} planned"


def _growth(replayed: Replayed) -> float:
    winters = replayed.costing.winters
    return mean(winters, winters.growth_factor)


def _what_stands_out(game: Game, lines: Sequence[LineReview], unknown: Sequence[Unknown]) -> str:
    currency = game.planned.scenario.currency
    parts: list[str] = []
    largest = max(lines, key=lambda line: abs(line.actual - line.planned))
    more = largest.actual - largest.planned
    if _said(more):
        way = "more" if more > 0 else "less"
        name = line_names([largest.line])
        parts.append(
            f"the largest difference is in {name}: {money(more)} {currency} {way} than planned"
        )
    lacking = [CALLED[item.fact] for item in unknown if _lacks(game, item.fact)]
    if lacking:
        names = lacking[:MOST_NAMED]
        if len(lacking) > MOST_NAMED:
            names = [*names, f"{len(lacking) - MOST_NAMED} more"]
        parts.append(f"not written down: {listed(names)}")
    if not parts:
        return "No line differs from the plan by much."
    return f"{sentence('; '.join(parts))}."


def _lacks(game: Game, fact: str) -> bool:
    return fact in CALLED and not given(game, fact)


def _said(value: float) -> bool:
    """Whether an amount is not 0 as it is said."""
    return money(value) != "0"


def _signed(value: float) -> str:
    return f"-{money(value)}" if value < 0 and _said(value) else money(value)
