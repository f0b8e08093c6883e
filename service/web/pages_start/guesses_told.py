"""Guesses as people read them: what was taken, within which range, how to find out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.wording import spoken
from service.quick_start.saying import said

Guess = Mapping[str, Any]

NUMBERS: Mapping[int, str] = {1: "This one", 2: "These two", 3: "These three"}
MOST = "could move the answer most"
WORD = "word"


@dataclass(frozen=True, slots=True)
class ToldGuess:
    """One guess worth checking."""

    name: str
    changes_best: bool
    sentence: str
    leaders: str
    """Which system would cost least at each end, where that is not the same."""
    find_out: str


def told_guesses(guesses: Iterable[Guess], document: Mapping[str, Any]) -> list[ToldGuess]:
    """Return the guesses that could change the answer, in words."""
    return [_told(guess, document["systems"]) for guess in guesses]


def how_many(guesses: Sequence[Guess]) -> str:
    """Return how many things were guessed, as a sentence."""
    things = "1 thing" if len(guesses) == 1 else f"{len(guesses)} things"
    return f"We guessed {things} for you."


def these_could(told: Sequence[ToldGuess]) -> str:
    """Return which guesses matter most, as a sentence; empty where none does."""
    if not told:
        return ""
    all_change = all(one.changes_best for one in told)
    names = "; ".join(one.name for one in told)
    return f"{NUMBERS[len(told)]} {'could change the answer' if all_change else MOST}: {names}."


def for_page(guesses: Iterable[Guess]) -> list[Guess]:
    """Return the guesses that the farm page can show beside its table: those that are numbers."""
    return [guess for guess in guesses if not isinstance(guess["usual"], str)]


def _told(guess: Guess, systems: Mapping[str, Any]) -> ToldGuess:
    unit = "" if guess["unit"] == WORD else guess["unit"]
    taken, low, high = (said(guess[end], unit) for end in ("usual", "low", "high"))
    name = guess["meaning"].rstrip(".")
    if guess["question"] is None:
        about = ", ".join(spoken(part) for part in guess["input"].split(".")[1:])
        name = f"{name} ({about})"
    best = [systems[guess[f"best_at_{end}"]]["title"] for end in ("low", "high")]
    leaders = ""
    if best[0] != best[1]:
        leaders = f"At {low} this costs least: {best[0]}; at {high}: {best[1]}."
    change = "this could change the answer" if guess["changes_best"] else "the first place stays"
    return ToldGuess(
        name,
        guess["changes_best"],
        f"{name}: we took {taken}, it may be {low} to {high}; {change}.",
        leaders,
        guess["find_out"],
    )
