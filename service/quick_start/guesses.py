"""The guesses that could change the answer: inputs filled in for the farm, and reference values."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from service.costing.case import Case
from service.costing.check_first import MOST, check_first_of
from service.costing.draw_axis import fits_draw_axis
from service.costing.engine import Costing, cost, worked
from service.costing.errors import InputError
from service.costing.overrides import can_be_set
from service.costing.swings import Swing, by_rank, scores_by_draw, swings_of
from service.costing.units import Array
from service.quick_start.ends import at_end
from service.quick_start.filling import QuickStart, Read

Document = dict[str, Any]
ENDS = ("low", "high")
Guess = Mapping[str, Any]


def three_guesses(quick_start: QuickStart, read: Read) -> list[dict[str, Any]]:
    """Return at most three guesses worth checking first, with what each would change.

    Those that would change the first place come first, then those that move the lead most.

    Parameters
    ----------
    quick_start : QuickStart
        What ten answers came to.
    read : callable
        Turns a document into a scenario.

    Returns
    -------
    list of dict
        As ``check_first`` of a costing has them, with ``question`` where one of the ten told it.
    """
    document = _without_copies(quick_start.document)
    costing = cost(read(document))
    systems = list(costing.systems)
    scores = scores_by_draw(costing, systems, 1)[:, 0]
    order = [systems[number] for number in by_rank(scores.tolist(), systems)]
    guesses = [guess for guess in _placed(quick_start.guessed, document) if _can_be_tried(guess)]
    swings = _swings(document, guesses, costing, order, read)
    found = [_written(guess, swing) for guess, swing in zip(guesses, swings, strict=True)]
    found += [{**row, "question": None} for row in check_first_of(costing)]
    return sorted((row for row in found if _moves(row)), key=_weightiest_first)[:MOST]


def _without_copies(document: Document) -> Document:
    """Return the document without systems that are others by another title: they always tie."""
    kept: Document = {}
    seen: list[Document] = []
    for key, system in document["systems"].items():
        bare = {name: member for name, member in system.items() if name != "title"}
        if bare not in seen:
            seen.append(bare)
            kept[key] = system
    return {**document, "systems": kept}


def _placed(guesses: Sequence[Guess], document: Document) -> Iterator[Guess]:
    """Yield the guesses with the places that they have in the document."""
    for guess in guesses:
        paths = [path for path in (guess["input"], *guess["also"]) if can_be_set(path, document)]
        if paths:
            yield {**guess, "input": paths[0], "also": paths[1:]}


def _can_be_tried(guess: Guess) -> bool:
    """Whether a guess has two ends, and anybody can find it out."""
    return bool(guess["find_out"]) and guess["low"] is not None and guess["low"] != guess["high"]


def _swings(
    document: Document,
    guesses: Sequence[Guess],
    costing: Costing,
    order: Sequence[str],
    read: Read,
) -> list[Swing]:
    as_it_stands = scores_by_draw(costing, order, 1)
    scores = np.repeat(as_it_stands, 2 * len(guesses), axis=1)
    together = [number for number, guess in enumerate(guesses) if _fits(guess)]
    if together:
        varied = _varied([guesses[number] for number in together])
        run = worked(Case(costing.case.scenario, varied=varied))
        columns = [column for number in together for column in (2 * number, 2 * number + 1)]
        scores[:, columns] = scores_by_draw(run, order, len(columns))
    for number, guess in enumerate(guesses):
        if number not in together:
            for place, end in enumerate(ENDS):
                scores[:, 2 * number + place] = _scores_at(
                    at_end(document, guess, end), order, read, as_it_stands[:, 0]
                )
    return swings_of(scores, order)


def _fits(guess: Guess) -> bool:
    return isinstance(guess["value"], int | float) and all(
        fits_draw_axis(path) for path in (guess["input"], *guess["also"])
    )


def _varied(guesses: Sequence[Guess]) -> dict[str, Array]:
    """Return the values of each guess: its low and its high in their turn, else as it stands."""
    varied: dict[str, Array] = {}
    for position, guess in enumerate(guesses):
        for path in (guess["input"], *guess["also"]):
            values = np.full((2 * len(guesses), 1), float(guess["value"]))
            values[2 * position : 2 * position + 2, 0] = guess["low"], guess["high"]
            varied[path] = values
    return varied


def _scores_at(document: Document, order: Sequence[str], read: Read, otherwise: Array) -> Array:
    """Return the scores of a document; ``otherwise`` where it cannot be costed."""
    try:
        costing = cost(read(document))
    except InputError:
        return otherwise
    return scores_by_draw(costing, order, 1)[:, 0]


def _written(guess: Guess, swing: Swing) -> dict[str, Any]:
    return {
        "input": guess["input"],
        "meaning": guess["meaning"],
        "unit": guess["unit"],
        "low": guess["low"],
        "usual": guess["value"],
        "high": guess["high"],
        "best_at_low": swing.best_at_low,
        "best_at_high": swing.best_at_high,
        "lead_at_low": swing.lead_at_low,
        "lead_at_high": swing.lead_at_high,
        "changes_best": swing.changes_best,
        "find_out": guess["find_out"],
        "question": guess["question"],
    }


def _size(row: Mapping[str, Any]) -> float:
    return abs(row["lead_at_high"] - row["lead_at_low"])


def _moves(row: Mapping[str, Any]) -> bool:
    return _size(row) > 0


def _weightiest_first(row: Mapping[str, Any]) -> tuple[bool, float, str]:
    return not row["changes_best"], -_size(row), row["input"]
