"""Reads a scenario from the body of a request and says everything that is wrong with it at once.

A body that fits the schema goes straight through pydantic. One that does not is looked over again,
slowly, for the sentences; what was faulty is replaced in a copy, so that faults between inputs come
out in the same answer.
"""

from collections.abc import Sequence
from functools import cache

from pydantic import TypeAdapter, ValidationError

from service.costing.checks import faults_of
from service.costing.errors import Fault, InputError
from service.costing.input_paths import joined
from service.costing.input_tree import input_tree
from service.costing.json_shapes import is_object
from service.costing.overrides import with_settings
from service.costing.scenario import Scenario
from service.web.examination import Examination
from service.web.limiting.meter import document_read
from service.web.strict_json import parse, written

__all__ = ["prepare", "read_scenario", "scenario_of", "with_settings"]


@cache
def _adapter() -> TypeAdapter[Scenario]:
    return TypeAdapter(Scenario)


def prepare() -> None:
    """Build what reading needs, so that the first request does not wait for it."""
    _adapter()
    input_tree()


def read_scenario(body: bytes) -> Scenario:
    """Read a body that is a scenario document.

    Raises
    ------
    NotJsonError
        If it is not JSON.
    InputError
        If it cannot be costed as it stands; carries every fault found.
    """
    parsed = parse(body)
    return scenario_of(parsed.value, sound=parsed.sound)


def scenario_of(document: object, faults: Sequence[Fault] = (), *, sound: bool = True) -> Scenario:
    """Turn a document into a scenario.

    Faults between inputs are looked for only where there are others; costing the scenario finds
    them in any case.

    Parameters
    ----------
    document : object
        The document as parsed from JSON.
    faults : sequence of Fault, optional
        Faults found before, to be told together with those of the document.
    sound : bool
        Whether all its numbers are finite and no name is given twice.

    Raises
    ------
    InputError
        If it cannot be costed as it stands; carries every fault found.
    """
    if sound and not faults:
        try:
            return _noted(_adapter().validate_json(written(document)))
        except ValidationError:
            pass  # the examination below says it in words
    found = [*faults, *_faults(document)]
    if found:
        raise InputError(found)
    return _noted(_adapter().validate_json(written(document)))


def _noted(scenario: Scenario) -> Scenario:
    """Note for the limits how much there is to be costed."""
    document_read(len(scenario.systems), max(1, len(scenario.winter.rows)))
    return scenario


def _faults(document: object) -> list[Fault]:
    """Faults of the schema, and those between inputs that can be told in spite of them."""
    examination = Examination()
    repaired = examination.repaired(input_tree(), document, "")
    faults = examination.faults
    if is_object(repaired) and examination.usable:
        try:
            scenario = _adapter().validate_json(written(repaired))
        except ValidationError as error:
            return faults or [_as_told(error)]
        faults += [fault for fault in faults_of(scenario) if examination.trusts(fault)]
    return faults


def _as_told(error: ValidationError) -> Fault:
    """Say in pydantic's words what the examination did not see."""
    first = error.errors(include_url=False, include_input=False)[0]
    return Fault(joined(str(part) for part in first["loc"]), first["msg"])
