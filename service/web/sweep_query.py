"""A sweep whose farms come as a table: the base and what is varied stand in the address."""

from collections.abc import Iterator, Mapping
from typing import Any

from starlette.requests import Request

from service.costing.errors import Fault, InputError, nearest
from service.scenarios.desk import Caller, Desk
from service.scenarios.kept import standing
from service.scenarios.sweeps import NewSweep
from service.sweeps.records import DEFAULT_FIGURES
from service.web.leaf_rules import received, shortened
from service.web.question_models import LARGEST_SEED
from service.web.sweep_csv import Reading, farms_in, text_of

SCENARIO, FIGURES, SEED, VARY = "scenario", "figures", "seed", "vary."
NAMES = (SCENARIO, FIGURES, SEED)
LONGEST_SEED = 16

PARAMETERS: list[dict[str, Any]] = [
    {
        "name": name,
        "in": "query",
        "required": False,
        "description": meaning,
        "schema": {"type": "string", "title": name.capitalize()},
    }
    for name, meaning in (
        (SCENARIO, "With a table: id of the stored scenario that is the base."),
        (FIGURES, "With a table: figures of a system, between commas."),
        (SEED, "With a table: of what is drawn by chance."),
    )
]


def refuse_query(request: Request) -> None:
    """Refuse an address with a query where everything stands in the body.

    Raises
    ------
    InputError
        If there is one.
    """
    faults = [
        Fault(shortened(name), f"{shortened(name)} stands in the body, where that is JSON.")
        for name in request.query_params
    ]
    if faults:
        raise InputError(faults)


def sweep_in_table(request: Request, desk: Desk, caller: Caller, raw: bytes) -> NewSweep:
    """Return the sweep that a table and the address ask for.

    Parameters
    ----------
    request : Request
        Has the base and what is varied in its address.
    desk, caller
        Where the base is kept, and who asks.
    raw : bytes
        The table.

    Raises
    ------
    UnknownScenarioError, BinnedError
        If there is no such scenario that the caller may see.
    InputError
        If anything else cannot be read; carries every fault.
    """
    given = dict(request.query_params)
    faults = list(_query_faults(request))
    document: dict[str, Any] = {}
    if given.get(SCENARIO):
        with desk.store.reading() as session:
            document = standing(session, desk, caller, given[SCENARIO], "write").document
    farms = ()
    try:
        farms = farms_in(text_of(raw), document)
    except InputError as error:
        faults += error.faults
    if faults:
        raise InputError(faults)
    return NewSweep(
        farms=farms,
        scenario_id=given[SCENARIO],
        vary=_varied(given, document),
        figures=tuple(_parts(given[FIGURES])) if FIGURES in given else DEFAULT_FIGURES,
        seed=int(given.get(SEED, 0)),
    )


def _varied(given: Mapping[str, str], document: Mapping[str, Any]) -> dict[str, tuple[Any, ...]]:
    texts = {
        name.removeprefix(VARY): _parts(text)
        for name, text in given.items()
        if name.startswith(VARY)
    }
    reading = Reading(tuple(texts), document)
    return {
        path: tuple(reading.value(path, part) for part in parts) for path, parts in texts.items()
    }


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",")]


def _query_faults(request: Request) -> Iterator[Fault]:
    seen: set[str] = set()
    for name, text in request.query_params.multi_items():
        shown = shortened(name)
        if name in seen:
            yield Fault(shown, f"{shown} is given more than once.")
        elif name.startswith(VARY):
            if not all(_parts(text)):
                yield Fault(shown, f"{shown} has an empty value; put values between commas.")
        elif name not in NAMES:
            near = nearest(shown, NAMES)
            hint = f"did you mean {near}?" if near else f"known: {', '.join(NAMES)}, {VARY}<path>."
            yield Fault(shown, f"There is no parameter {shown!r} here; {hint}", suggestion=near)
        seen.add(name)
    given = request.query_params
    if not given.get(SCENARIO):
        yield Fault(
            SCENARIO, "scenario is missing: the id of the stored scenario that is the base."
        )
    seed = given.get(SEED, "0")
    allowed = f"0 to {LARGEST_SEED}"
    if not (seed.isascii() and seed.isdigit() and len(seed) <= LONGEST_SEED) or (
        int(seed) > LARGEST_SEED
    ):
        detail = f"seed must be a whole number, {allowed}."
        yield Fault(SEED, detail, received=received(seed), allowed=allowed)
