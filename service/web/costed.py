"""A document costed as it is answered, in one step from the question to the bytes."""

from collections.abc import Callable, Sequence

from service.costing.engine import cost
from service.costing.errors import Fault
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.scenarios.desk import Document
from service.scenarios.winters import Recorded, opened, pinned
from service.web.answers import json_bytes
from service.web.reading import scenario_of


def costed(
    document: Document,
    faults: Sequence[Fault] = (),
    *,
    sound: bool = True,
    workings: bool = False,
    check_first: bool = True,
    with_winters: Callable[[Document], Recorded] = Recorded,
) -> bytes:
    """Return the costing of a document, as JSON.

    Parameters
    ----------
    document : dict
        The scenario document, with settings applied.
    faults : sequence of Fault, optional
        What was found wrong before, to be told together with the faults of the document.
    sound : bool
        Whether all its numbers are finite and no name is given twice.
    workings : bool
        Whether to add how each line was made.
    check_first : bool
        Whether to look for the guesses to check first: two more runs of the engine.
    with_winters : callable, optional
        Puts the winters of a weather record in its place; without it no record is known.

    Raises
    ------
    NotJsonError
        If it is nested too deeply.
    InputError
        If it cannot be costed as it stands; carries every fault found.
    """

    def read(asked: Document) -> Scenario:
        return scenario_of(asked, faults, sound=sound)

    scenario, found = opened(read, document, with_winters)
    costing = cost(scenario, workings=workings)
    given = pinned(document, found)
    return json_bytes(
        costing_document(costing, workings=workings, check_first=check_first, given=given)
    )
