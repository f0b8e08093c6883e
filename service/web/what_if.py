"""A revision costed with inputs changed in the address; nothing is stored."""

from functools import partial

from service.costing.overrides import applied
from service.scenarios.desk import Caller, Desk
from service.scenarios.kept import Kept
from service.scenarios.winters import recorded
from service.web.costed import costed
from service.web.query_settings import CostingQuery
from service.web.settings_with_units import in_own_units
from service.web.stored_revision import revision_of


def what_if(desk: Desk, caller: Caller, scenario: str, query: CostingQuery) -> tuple[Kept, bytes]:
    """Return a revision and the costing of it with inputs changed, as JSON.

    Raises
    ------
    UnknownScenarioError, BinnedError, UnknownPartError
        If there is no such revision that the caller may see.
    InputError
        If it cannot be costed so; carries every fault found.
    """
    kept = revision_of(desk, caller, scenario, query.revision)
    settings, misread = in_own_units(query.settings, kept.document)
    document, faults = applied(kept.document, settings)
    office = partial(recorded, desk, kept.head.office_id)
    return kept, costed(document, [*misread, *faults], with_winters=office)
