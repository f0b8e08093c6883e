"""The morning card as one printed side."""

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from starlette.responses import HTMLResponse

from service.costing.wording import amount, count
from service.season.plan.card_records import Card, CardStep, GroundCard, Portion
from service.web.pages.systems_compared import DISCLAIMER
from service.web.pages_season.templating import page
from service.web.pages_season.wording import halves, season_said

TEMPLATE = "card.html"
MOST_LARGE, MOST_MIDDLE = 4, 10
"""Lines that fit one side in large and in middle type."""
FEWEST_BALES = 0.75
"""Below this a day's hay is said in pounds."""
TENS_FROM = 100
TEN = 10
BLANKS = (
    ("Vet", "phone"),
    ("Neighbor who comes", "phone"),
    ("Adviser", "phone"),
    ("Where we are, for an ambulance", ""),
)


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step with how much, in words."""

    step: CardStep
    how_much: list[str]
    a_move: list[str]


@dataclass(frozen=True, slots=True)
class ShownAnimals:
    """The steps of the same animals, in their order."""

    who: str
    steps: list[ShownStep]


@dataclass(frozen=True, slots=True)
class ShownGround:
    """A state of the ground and how to know it."""

    title: str
    tell: str
    days: str


@dataclass(frozen=True, slots=True)
class ShownPart:
    """What is done on some states of the ground; on any, where none is named."""

    grounds: list[ShownGround]
    animals: list[ShownAnimals]


def card_page(card: Card, *, name: str, revision: int) -> HTMLResponse:
    """Return the card of a system.

    Parameters
    ----------
    card : Card
        What it says.
    name : str
        What the farm is called.
    revision : int
        Of the scenario.
    """
    parts = list(_parts(card.grounds))
    lines = sum(len(animals.steps) for part in parts for animals in part.animals)
    return page(
        TEMPLATE,
        card=card,
        parts=parts,
        size=_size(lines),
        bale_weight=count(card.bale_weight_lb),
        feeds_hay=any(
            portion.unit == "bale"
            for ground in card.grounds
            for step in ground.steps
            for portion in step.portions
        ),
        blanks=BLANKS,
        name=name,
        revision=revision,
        season=season_said(card.season),
        disclaimer=DISCLAIMER,
    )


def _size(lines: int) -> str:
    if lines <= MOST_LARGE:
        return "large"
    return "middle" if lines <= MOST_MIDDLE else "small"


def _parts(grounds: Sequence[GroundCard]) -> Iterator[ShownPart]:
    """Yield what is done on each ground, those of which the same is said together.

    At last comes, once, what some of the animals do on all of them.
    """
    always = _always(grounds)
    if all(step.who in always for ground in grounds for step in ground.steps):
        always = frozenset[str]()
    told: list[GroundCard] = []
    for ground in grounds:
        if ground not in told:
            alike = [other for other in grounds if _rules(other, always) == _rules(ground, always)]
            told += alike
            yield ShownPart([_ground(one) for one in alike], _animals(alike, always, among=False))
    if always:
        yield ShownPart([], _animals(grounds, always, among=True))


def _always(grounds: Sequence[GroundCard]) -> frozenset[str]:
    """Return the animals that have the same steps and rules on every ground."""

    def of(who: str) -> list[list[CardStep]]:
        return [[step for step in _rules(ground, ()) if step.who == who] for ground in grounds]

    everyone = {step.who for ground in grounds for step in ground.steps}
    return frozenset(who for who in everyone if all(steps == of(who)[0] for steps in of(who)))


def _rules(ground: GroundCard, but: Container[str]) -> list[CardStep]:
    """Return what is done on a ground by all but some animals, amounts left out."""
    return [replace(step, portions=()) for step in ground.steps if step.who not in but]


def _ground(ground: GroundCard) -> ShownGround:
    days = max(round(ground.days), 1)
    said = f"about {days} {'day' if days == 1 else 'days'}"
    return ShownGround(ground.title, ground.tell, said)


def _animals(
    grounds: Sequence[GroundCard], chosen: Container[str], *, among: bool
) -> list[ShownAnimals]:
    """Return what the animals among the chosen, or all others, do on grounds of the same rules."""
    steps = [step for step in grounds[0].steps if (step.who in chosen) == among]
    return _by_animals([(step, _portions(grounds, step)) for step in steps])


def _portions(grounds: Sequence[GroundCard], step: CardStep) -> list[Portion]:
    """Return the amounts of a step on all grounds."""
    return [
        portion
        for ground in grounds
        for other in ground.steps
        if other.step == step.step
        for portion in other.portions
    ]


def _by_animals(steps: Sequence[tuple[CardStep, Sequence[Portion]]]) -> list[ShownAnimals]:
    return [
        ShownAnimals(
            who,
            [
                ShownStep(step, list(a_day(portions)), list(a_move(portions)))
                for step, portions in found
            ],
        )
        for who, found in groupby(steps, key=lambda pair: pair[0].who)
    ]


def a_day(portions: Sequence[Portion]) -> Iterator[str]:
    """Yield how much a day, in words; from the least to the most where it differs."""
    bales = [portion.value for portion in portions if portion.unit == "bale" and _daily(portion)]
    pounds = [portion.value for portion in portions if portion.unit == "lb" and _daily(portion)]
    if bales and max(bales) >= FEWEST_BALES:
        yield f"about {_span([halves(value) for value in bales], 'bale')} a day"
    elif bales:
        often = _span([halves(1 / value) for value in reversed(bales)], "day")
        weight = _span([_round_pounds(value) for value in pounds], "lb")
        yield f"about {weight} of hay a day, a bale in {often}"


def a_move(portions: Sequence[Portion]) -> Iterator[str]:
    """Yield how much for each move of the wire, in words."""
    moved = [portion for portion in portions if not _daily(portion)]
    bales = [portion.value for portion in moved if portion.unit == "bale"]
    acres = [portion.value for portion in moved if portion.unit == "acre"]
    if bales:
        yield f"about {_span([halves(value) for value in bales], 'bale')} a move"
    if acres:
        yield f"about {_span([amount(value) for value in acres], 'acre')} a move"


def _daily(portion: Portion) -> bool:
    return portion.days == 1 and portion.unit != "acre"


def _span(said: Sequence[str], unit: str) -> str:
    """Return amounts as one, or as the least to the most."""
    least, most = (pick(said, key=_as_number) for pick in (min, max))
    plain = unit == "lb" or (most in {"½", "1"} and least == most)
    words = unit if plain else f"{unit}s"
    return f"{most} {words}" if least == most else f"{least} to {most} {words}"


def _as_number(said: str) -> float:
    return float(said.replace(",", "").replace("½", ".5"))


def _round_pounds(value: float) -> str:
    return f"{round(value / TEN) * TEN if value >= TENS_FROM else round(value):,}"
