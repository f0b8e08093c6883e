"""The herd, from the first two questions."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.formulas.stages import days_between
from service.costing.units import POUNDS_PER_ANIMAL_UNIT
from service.costing.wording import amount
from service.quick_start.answers import Answers
from service.quick_start.calendar_days import day_in, spoken_day
from service.quick_start.catalog import NONE, catalog
from service.quick_start.draft import Draft
from service.quick_start.figures import stand_in
from service.quick_start.marks import Given, Guessed, Mark, Worked, guess, value_of

ANIMALS, YOUNG = "animals", "young"
COWS, EWES = "cows", "ewes"
WEIGHED, MIDDLING = "weighed", "middling"


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of animal that the first question names."""

    part: str
    animal: str
    title: str
    share: str | None
    """Figure for its weight as a share of the cow's or the ewe's; None: weighed itself."""
    is_sheep: bool
    gives_birth: bool


KINDS = (
    Kind(COWS, "beef_cow", "Cows", None, is_sheep=False, gives_birth=True),
    Kind(
        "first_calf_heifers",
        "bred_heifer",
        "Bred heifers",
        "heifer_share",
        is_sheep=False,
        gives_birth=True,
    ),
    Kind(
        "weaned_calves",
        "growing_calf",
        "Weaned calves",
        "calf_share",
        is_sheep=False,
        gives_birth=False,
    ),
    Kind("bulls", "bull", "Bulls", "bull_share", is_sheep=False, gives_birth=False),
    Kind(EWES, "ewe", "Ewes", None, is_sheep=True, gives_birth=True),
    Kind("rams", "ram", "Rams", "ram_share", is_sheep=True, gives_birth=False),
)
SHEEP = frozenset(kind.part for kind in KINDS if kind.is_sheep)


def fill_herd(draft: Draft, answers: Answers) -> None:
    """Put the herd into the document."""
    heads = {kind.part: answers.number(ANIMALS, kind.part) for kind in KINDS}
    given = {part: head for part, head in heads.items() if head is not None}
    counts: dict[str, Mark] = {part: Given(head) for part, head in given.items() if head > 0}
    if not counts:
        counts[COWS if COWS not in given else _first_open(heads)] = guess("cows", ANIMALS)
    elif len(given) < len(heads):
        draft.note("herd", "Animals that were not named count as none.")
    cow, ewe = _cow_weight(draft, answers), _ewe_weight(answers)
    for kind in KINDS:
        if kind.part in counts:
            weight = _weight(kind, ewe if kind.is_sheep else cow)
            births = dict(_births(draft, answers, kind)) if kind.gives_birth else {}
            draft.put(
                f"herd.{kind.part}",
                {
                    "title": kind.title,
                    "animal": kind.animal,
                    "head": counts[kind.part],
                    "body_weight_lb": weight,
                    **births,
                },
            )


def _first_open(heads: Mapping[str, float | None]) -> str:
    """Return the first kind that nobody counted, where cows are known to be none."""
    return next(part for part, head in heads.items() if head is None)


def _cow_weight(draft: Draft, answers: Answers) -> Mark:
    weighed = answers.number(ANIMALS, "cow_weight")
    size = answers.get(ANIMALS, "cow_size")
    if weighed is not None:
        if size not in {None, WEIGHED}:
            draft.note(
                f"herd.{COWS}.body_weight_lb", f"Cows were called {size}; the weight given counts."
            )
        return Given(weighed)
    if size in {None, WEIGHED}:
        return guess(f"cow_weight.{MIDDLING}", ANIMALS)
    figure = stand_in(f"cow_weight.{size}")
    return Worked(figure.usual, f"A {size} cow weighs about {amount(figure.number)} lb.")


def _ewe_weight(answers: Answers) -> Mark:
    weighed = answers.number(ANIMALS, "ewe_weight")
    return guess("ewe_weight", ANIMALS) if weighed is None else Given(weighed)


def _weight(kind: Kind, grown: Mark) -> Mark:
    """Return the weight of a kind, from that of the cow or the ewe."""
    if kind.share is None:
        return grown
    figure, of = stand_in(kind.share), value_of(grown)
    found = guess(kind.share, ANIMALS, scale=of, unit="lb/head")
    return Guessed(
        figure,
        ANIMALS,
        value=round(found.value),
        low=found.low,
        high=found.high,
        unit=found.unit,
    )


def _births(draft: Draft, answers: Answers, kind: Kind) -> Iterator[tuple[str, Any]]:
    first, most, figures = (
        ("first_lamb", "most_lambs", ("first_lamb", "lambing_days"))
        if kind.is_sheep
        else ("first_calf", "most_calves", ("first_calf", "calving_days"))
    )
    start, end = answers.get(YOUNG, first), answers.get(YOUNG, most)
    if start == NONE:
        draft.note(f"herd.{kind.part}", f"{kind.title} have no young.")
        return
    words = catalog()[YOUNG].part(most).words
    starts: Mark = guess(figures[0], YOUNG)
    if start is not None:
        starts = Worked(day_in(start), f"The middle of {words[start]}: {spoken_day(day_in(start))}")
    yield "birth_starts", starts
    days: Mark = guess(figures[1], YOUNG)
    if end is not None:
        between = days_between(value_of(starts), day_in(end)) or value_of(
            guess("half_month", YOUNG)
        )
        days = Worked(
            between,
            f"From {spoken_day(value_of(starts))} to {spoken_day(day_in(end))}: "
            f"{between:.0f} days.",
        )
    yield "birth_season_days", days


def animal_units(herd: Mapping[str, Any]) -> float:
    """Return the animal units of the herd in a document [AU]."""
    return (
        sum(group["head"] * group["body_weight_lb"] for group in herd.values())
        / POUNDS_PER_ANIMAL_UNIT
    )


def cattle_of(herd: Mapping[str, Any]) -> list[str]:
    """Return the groups that are cattle."""
    return [key for key in herd if key not in SHEEP]


def sheep_of(herd: Mapping[str, Any]) -> list[str]:
    """Return the groups that are sheep."""
    return [key for key in herd if key in SHEEP]
