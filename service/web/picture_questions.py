"""What pictures need beside a costing: questions that are asked of it in process."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from service.costing.errors import Fault, InputError
from service.scenarios.costings import EDITION
from service.scenarios.desk import Desk
from service.scenarios.kept import Kept
from service.scenarios.winters import recorded

Document = Mapping[str, Any]

COST_AGAINST_HAY_PRICE, SWINGS = "cost_against_hay_price", "swings"
NO_PRICE = "Hay has no price here, so there is nothing to draw a cost against."


def asked_of(desk: Desk, kept: Kept, body: Document, name: str, system: str | None) -> Document:
    """Return what a picture needs beside the costing of a revision.

    Parameters
    ----------
    desk : Desk
        Where it is kept.
    kept : Kept
        The revision.
    body : mapping
        Its costing as a document.
    name : str
        Of the picture.
    system : str or None
        Key of the system that it is to show, if one is named.

    Raises
    ------
    InputError
        If the question cannot be asked of it.
    """
    of_system = {} if system is None else {"system": system}
    if name == SWINGS:
        return _swings(desk, kept, system)
    return _hay_prices(desk, kept, body) if name == COST_AGAINST_HAY_PRICE else of_system


def _swings(desk: Desk, kept: Kept, system: str | None) -> Document:
    from service.analysis.questions import Sensitivity  # noqa: PLC0415 - few pictures need it
    from service.scenarios.analyses import answer_now  # noqa: PLC0415

    with_winters = partial(recorded, desk, kept.head.office_id)
    return answer_now(desk.read, _document(kept), Sensitivity(system=system), with_winters)


def _hay_prices(desk: Desk, kept: Kept, body: Document) -> Document:
    from service.scenarios.analyses import subject_of  # noqa: PLC0415 - few pictures need it
    from service.web.pages.hay_price import hay_prices  # noqa: PLC0415

    winters = recorded(desk, kept.head.office_id, _document(kept))
    scenario = subject_of(desk.read, winters.document, winters).scenario
    found = hay_prices(scenario, body["inputs_used"]["hay"])
    if found is None:
        raise InputError([Fault("hay.price_per_ton", NO_PRICE)])
    return found.for_picture()


def _document(kept: Kept) -> dict[str, Any]:
    return kept.document | {EDITION: kept.revision.reference_edition}
