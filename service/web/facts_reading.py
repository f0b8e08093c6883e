"""Reads the facts of a winter and says everything that is wrong with them at once.

What shows only between facts, or between them and the plan, is looked at by whoever keeps them.
"""

from functools import cache

from pydantic import TypeAdapter, ValidationError

from service.costing.errors import Fault, InputError
from service.costing.input_paths import joined
from service.costing.input_tree import tree_of
from service.costing.json_shapes import is_object
from service.scenarios.errors import FaultyFactsError
from service.season.facts import WinterFacts
from service.web.examination import Examination
from service.web.limiting.meter import recorded_winter_read
from service.web.strict_json import written


@cache
def _adapter() -> TypeAdapter[WinterFacts]:
    return TypeAdapter(WinterFacts)


def facts_of(document: object, *, sound: bool = True) -> WinterFacts:
    """Turn a document into the facts of a winter.

    Parameters
    ----------
    document : object
        The document as parsed from JSON.
    sound : bool
        Whether all its numbers are finite and no name is given twice.

    Raises
    ------
    FaultyFactsError
        If it holds what is no fact, or none that can be; carries every fault found.
    InputError
        If nothing of it can be read.
    """
    recorded_winter_read()
    if sound:
        try:
            return _adapter().validate_json(written(document))
        except ValidationError:
            pass  # the examination below says it in words
    examination = Examination(what="the facts of a winter")
    repaired = examination.repaired(tree_of(WinterFacts), document, "")
    if not examination.faults:
        return _unexamined(document)
    if not is_object(repaired):
        raise InputError(examination.faults)
    others = _unexamined(repaired)
    raise FaultyFactsError(examination.faults, others, examination.trusts)


def _unexamined(document: object) -> WinterFacts:
    """Read what the examination found nothing wrong with, or say what it did not see."""
    try:
        return _adapter().validate_json(written(document))
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        path = joined(str(part) for part in first["loc"])
        raise InputError([Fault(path, first["msg"])]) from None
