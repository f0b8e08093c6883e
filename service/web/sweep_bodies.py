"""Reads a sweep that is sent as JSON, and says everything that is wrong with it at once."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, pointer_of
from service.costing.json_shapes import is_array, is_object
from service.scenarios.sweep_bases import BASE
from service.scenarios.sweeps import NewSweep
from service.sweeps.records import DEFAULT_FIGURES, FarmRow
from service.web.leaf_rules import received, said, shortened
from service.web.question_models import LARGEST_SEED
from service.web.request_models import MOST_UNKNOWN
from service.web.scenario_body import refuse_unsound
from service.web.strict_json import Uncountable

DOCUMENT, SCENARIO = "document", "scenario"
FARMS, VARY, FIGURES, SEED = "farms", "vary", "figures", "seed"
EXTERNAL_ID, SET = "external_id", "set"
MEMBERS = (SCENARIO, DOCUMENT, FARMS, VARY, FIGURES, SEED)
OF_A_FARM = (EXTERNAL_ID, SET)
MOST_DIGITS = 9
ONE_BASE = "Send either document, a scenario, or scenario, the id of a stored one."


def read_sweep(sent: object, *, sound: bool = True) -> NewSweep:
    """Return a body as the sweep that it should be.

    Parameters
    ----------
    sent : object
        The body as parsed from JSON.
    sound : bool
        Whether all its numbers are finite and no name is given twice.

    Raises
    ------
    InputError
        If it is none; carries every fault.
    """
    if not is_object(sent):
        detail = f"The body must be an object with: {', '.join(MEMBERS)}."
        raise InputError([Fault("", detail, received=received(sent))])
    faults = list(_faults(sent))
    if not sound:
        try:
            refuse_unsound(sent)
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    listed, varied = sent.get(FARMS), sent.get(VARY)
    return NewSweep(
        farms=tuple(FarmRow(farm.get(EXTERNAL_ID), farm.get(SET) or {}) for farm in listed or ())
        if listed is not None
        else (FarmRow(),),
        document=sent.get(DOCUMENT) or {},
        scenario_id=sent.get(SCENARIO),
        vary={path: tuple(values) for path, values in varied.items()} if is_object(varied) else {},
        figures=tuple(sent.get(FIGURES) or DEFAULT_FIGURES),
        seed=int(sent.get(SEED) or 0),
    )


def sweep_pointer(sent: object) -> Callable[[str], str]:
    """Return what gives the JSON Pointer, in a body as sent, of the input of a fault.

    Parameters
    ----------
    sent : object
        The body.
    """
    body: Mapping[str, Any] = sent if is_object(sent) else {}
    farms = body.get(FARMS)

    def pointer(path: str) -> str:
        if path.startswith(BASE) and SCENARIO in body:
            return f"/{SCENARIO}"
        head, _, rest = path.partition(".")
        number, _, inner = rest.partition(".")
        if head == FARMS and is_array(farms) and number.isdecimal() and len(number) < MOST_DIGITS:
            at = int(number) - 1  # there may be too many to be gone through for each fault
            return f"/{FARMS}/{at}{pointer_of(farms[at] if at < len(farms) else None, inner)}"
        if path.partition(".")[0] in MEMBERS:
            return pointer_of(body, path)
        return _setting_in(body, path) if path else ""

    return pointer


def _setting_in(body: Mapping[str, Any], path: str) -> str:
    """Return where a path is set first."""
    farms = body.get(FARMS)
    for number, farm in enumerate(farms if is_array(farms) else ()):
        settings = farm.get(SET) if is_object(farm) else None
        if is_object(settings) and path in settings:
            return f"/{FARMS}/{number}/{SET}/{escaped(path)}"
    return f"/{escaped(path)}" if path in body else ""


def _faults(sent: dict[str, Any]) -> Iterator[Fault]:
    yield from _unknown(sent, MEMBERS, "")
    yield from _base_faults(sent)
    if sent.get(FARMS) is not None:
        yield from _farm_faults(sent[FARMS])
    if sent.get(VARY) is not None:
        yield from _vary_faults(sent[VARY])
    figures, seed = sent.get(FIGURES), sent.get(SEED)
    if figures is not None and not _are_words(figures):
        detail = f"figures must be a list of figures, one or more, not {said(figures)}."
        yield Fault(FIGURES, detail, received=received(figures))
    if seed is not None and not isinstance(seed, Uncountable) and not _is_seed(seed):
        allowed = f"0 to {LARGEST_SEED}"
        detail = f"seed must be a whole number, {allowed}, not {said(seed)}."
        yield Fault(SEED, detail, received=received(seed), allowed=allowed)


def _base_faults(sent: Mapping[str, Any]) -> Iterator[Fault]:
    document, scenario = sent.get(DOCUMENT), sent.get(SCENARIO)
    if (document is None) == (scenario is None):
        yield Fault(DOCUMENT if document is not None else "", ONE_BASE)
    if document is not None and not is_object(document):
        yield Fault(DOCUMENT, "document must be an object.", received=received(document))
    if scenario is not None and not _is_text(scenario):
        yield Fault(SCENARIO, f"scenario must be text, not {said(scenario)}.")


def _farm_faults(farms: object) -> Iterator[Fault]:
    if not is_array(farms):
        yield Fault(FARMS, f"farms must be a list, not {said(farms)}.", received=received(farms))
        return
    for number, farm in enumerate(farms, start=1):
        place = f"{FARMS}.{number}"
        if not is_object(farm):
            detail = f"{place} must be an object with: {', '.join(OF_A_FARM)}."
            yield Fault(place, detail, received=received(farm))
            continue
        yield from _unknown(farm, OF_A_FARM, place)
        name, settings = farm.get(EXTERNAL_ID), farm.get(SET)
        if name is not None and not _is_text(name):
            where = f"{place}.{EXTERNAL_ID}"
            yield Fault(where, f"{where} must be text, not {said(name)}.", received=received(name))
        if settings is not None and not is_object(settings):
            where = f"{place}.{SET}"
            yield Fault(where, f"{where} must be an object: value by input path.")


def _vary_faults(vary: object) -> Iterator[Fault]:
    if not is_object(vary):
        detail = "vary must be an object: a list of values by input path."
        yield Fault(VARY, detail, received=received(vary))
        return
    for path, values in vary.items():
        if not is_array(values):
            where = f"{VARY}.{path}"
            yield Fault(where, f"{shortened(where)} must be a list of values.")


def _unknown(sent: Mapping[str, Any], known: tuple[str, ...], before: str) -> Iterator[Fault]:
    """Yield the faults of names that there are not, and of those given twice where it matters."""
    prefix = f"{before}." if before else ""
    for name in [name for name in sent if name not in known][:MOST_UNKNOWN]:
        shown = shortened(name)
        near = nearest(shown, known)
        hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
        detail = f"There is no {shown!r} {f'in {before}' if before else 'here'}; {hint}"
        yield Fault(f"{prefix}{shown}", detail, suggestion=near)


def _is_text(value: object) -> bool:
    return isinstance(value, str) and not isinstance(value, Uncountable)


def _are_words(value: object) -> bool:
    return is_array(value) and bool(value) and all(_is_text(one) for one in value)


def _is_seed(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return value == int(value) and 0 <= value <= LARGEST_SEED
