"""A document costed as it is answered, in one step from the question to the bytes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from service.costing.engine import cost
from service.costing.errors import Fault
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.scenarios.desk import Desk, Document
from service.scenarios.winters import Recorded, opened, pinned, recorded
from service.web.answers import json_bytes
from service.web.reading import scenario_of


@dataclass(frozen=True, slots=True)
class OfficeWinters:
    """Puts the winters of an office's weather records in their place."""

    desk: Desk
    office_id: str

    def __call__(self, document: Document) -> Document:
        """Return a document with the winters of its record as rows."""
        return self.found(document).document

    def found(self, document: Document) -> Recorded:
        """Return the same, and which record and classification they come from."""
        return recorded(self.desk, self.office_id, document)


def costed(
    document: Document,
    faults: Sequence[Fault] = (),
    *,
    sound: bool = True,
    workings: bool = False,
    with_winters: Callable[[Document], Document] | None = None,
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
    with_winters : callable, optional
        Puts the winters of a weather record in its place, where there are records.

    Raises
    ------
    NotJsonError
        If it is nested too deeply.
    InputError
        If it cannot be costed as it stands; carries every fault found.
    """

    def read(asked: Document) -> Scenario:
        return scenario_of(asked, faults, sound=sound)

    look_up = with_winters.found if isinstance(with_winters, OfficeWinters) else Recorded
    scenario, found = opened(read, document, look_up)
    costing = cost(scenario, workings=workings)
    given = pinned(document, found)
    return json_bytes(costing_document(costing, workings=workings, given=given))


def winters_for(desk: Desk, office_id: str) -> OfficeWinters:
    """Return what puts the winters of an office's weather records in their place."""
    return OfficeWinters(desk, office_id)
