"""What was not written down of a winter, and what could not be told for want of it."""

from collections.abc import Iterable, Iterator

from service.costing.lines import LINES
from service.costing.wording import listed
from service.season.as_it_was import hay_price_paid, row_of_season
from service.season.review.game import LINE_KEYS, Game
from service.season.review.records import Unknown

QUANTITY_LINES: dict[str, tuple[str, ...]] = {
    "bales_fed": ("hay_eaten", "hay_wasted", "hay_lost_in_storage"),
    "labor_hours": ("labor",),
    "fuel_gallon": ("machinery",),
    "bedding_ton": ("bedding",),
    "supplement_ton": ("supplement",),
    "manure_loads": ("manure_handling",),
    "acres_to_fix": ("ground_restoration", "forage_lost"),
}
"""The lines that each quantity tells of."""

CALLED = {
    "bales_fed": "bales fed",
    "labor_hours": "hours",
    "fuel_gallon": "fuel",
    "bedding_ton": "bedding",
    "supplement_ton": "supplement",
    "manure_loads": "loads of manure",
    "acres_to_fix": "acres to fix",
}

PRICES: dict[str, tuple[str, str]] = {
    "hay_eaten": ("prices.hay_per_ton", "What was paid for hay"),
    "labor": ("prices.labor_per_hour", "The worth of an hour"),
    "machinery": ("prices.diesel_per_gallon", "What was paid for diesel"),
    "bedding": ("prices.bedding_per_ton", "What was paid for bedding"),
    "supplement": ("prices.supplement_per_ton", "What was paid for supplement"),
}
"""The price of each line that was recorded, and what it is called."""


def line_names(lines: Iterable[str]) -> str:
    """Return the titles of lines as they stand within a sentence."""
    titles = [LINES[line].title for line in lines]
    return listed(title[:1].lower() + title[1:] for title in titles)


def given(game: Game, fact: str) -> bool:
    """Whether a quantity was written down, in one form or another."""
    facts = game.facts
    if fact == "labor_hours" and facts.minutes_per_day is not None:
        return True
    if fact == "acres_to_fix" and facts.acres_by_severity is not None:
        return True
    return getattr(facts, fact) is not None


def not_recorded(game: Game, recorded: Iterable[str]) -> Iterator[Unknown]:
    """Yield the quantities that nobody wrote down, where their lines have any money."""
    told = set(recorded)
    for fact, lines in QUANTITY_LINES.items():
        if given(game, fact) or told & set(lines) or not _any_money(game, lines):
            continue
        name = CALLED[fact]
        verb = "was" if fact in {"fuel_gallon", "bedding_ton", "supplement_ton"} else "were"
        yield Unknown(
            fact,
            f"{name[:1].upper()}{name[1:]} {verb} not written down: {line_names(lines)} "
            f"{'are' if len(lines) > 1 else 'is'} what such a winter takes by the plan's figures.",
        )


def not_priced(game: Game, recorded: Iterable[str]) -> Iterator[Unknown]:
    """Yield the prices that nobody told of quantities that were written down."""
    told = set(recorded)
    for line, (fact, price) in PRICES.items():
        if line in told and not _price_told(game, line, fact):
            yield Unknown(
                fact,
                f"{price} was not written down: it is taken as planned, and nothing of "
                f"{line_names(_told_together(line))} is put down to prices.",
            )


def weather_not_known(game: Game, recorded: Iterable[str]) -> Iterator[Unknown]:
    """Yield what of the weather is not known, and what it keeps from being told apart."""
    told = [line for line in LINE_KEYS if line in set(recorded)]
    if not game.ground_known:
        only = (
            "Only the length of that winter is known, not its ground"
            if game.weather_from == "length"
            else "The ground of that winter was not written down"
        )
        then = (
            f"in {line_names(told)}, what weather did and what the way of feeding did cannot be "
            "told apart"
            if told
            else "what its weather did to cost cannot be told"
        )
        yield Unknown("ground_days", f"{only}: {then}.")
    if game.weather_from == "scenario":
        return
    facts, steps = game.facts, game.planned.system.steps.values()
    row = row_of_season(game.planned)
    growth = facts.stockpile_growth_factor or (row and row.stockpile_growth_factor)
    rain = facts.rain_in or (row and row.rain_in)
    if growth is None and any(step.method == "stockpile_grazing" for step in steps):
        words = "Growth of grass in autumn was not written down: it is taken as planned."
        yield Unknown("stockpile_growth_factor", words)
    if rain is None and game.such_a_winter.quantities.manure_loads > 0:
        yield Unknown("rain_in", "Rain was not written down: it is taken as planned.")


def days_not_held(game: Game) -> Iterator[Unknown]:
    """Yield why the days of the steps are the plan's."""
    facts, steps = game.facts, game.planned.system.steps
    if not facts.days_by_method:
        if len(steps) > 1:
            yield Unknown(
                "days_by_method",
                "Days of each step were not written down: they are taken as the plan would have "
                "them in such a winter.",
            )
    elif not game.days_held:
        yield Unknown(
            "days_by_method",
            "With the days that were written down the plan would not feed every animal on every "
            "day, so each step runs as the plan would have it.",
        )


def _told_together(line: str) -> tuple[str, ...]:
    return next(lines for lines in QUANTITY_LINES.values() if line in lines)


def _any_money(game: Game, lines: Iterable[str]) -> bool:
    numbers = [LINE_KEYS.index(line) for line in lines]
    return bool((game.lines[..., numbers] != 0).any())


def _price_told(game: Game, line: str, fact: str) -> bool:
    if line == "hay_eaten":
        return _hay_price_told(game)
    return getattr(game.facts.prices, fact.removeprefix("prices.")) is not None


def _hay_price_told(game: Game) -> bool:
    """Whether the price of hay is known, or matters to none of it."""
    hay = game.planned.scenario.hay
    all_made = hay.home_grown_fraction >= 1 and hay.valued_at == "cost_to_make"
    return all_made or hay_price_paid(game.planned, game.facts) is not None
