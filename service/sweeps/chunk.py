"""One chunk of a sweep: what a worker is sent, and the rows that it answers with."""

import csv
import gzip
import io
import json
import logging
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from service.costing.checks import faults_of
from service.costing.engine import cost
from service.costing.errors import Fault, InputError
from service.costing.json_shapes import is_object
from service.costing.overrides import with_settings
from service.costing.scenario import Scenario
from service.costing.table_cells import cell
from service.sweeps.fast import FEWEST, Group, can_be_drawn, shape_of, worked_together
from service.sweeps.figures import figures_alone
from service.sweeps.records import (
    CHUNK_ROWS,
    FAILED,
    OK,
    REFUSED,
    Chunk,
    ChunkResult,
    Document,
    SweepSpec,
)
from service.sweeps.rows import Row, rows_of
from service.sweeps.stopping import refuse_if_stopping

BROKE_DOWN = "This farm could not be costed, through no fault of its inputs."
LEVEL = 6
"""Of compression: named, so that every worker is sent the same bytes."""

DIGITS_OF_A_WHOLE_NUMBER = 18

Read = Callable[[Document], Scenario]
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class _Payload:
    """What a worker is sent, unpacked."""

    document: Document
    rows: list[Row]
    paths: list[str]
    figures: list[str]


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What a row came to: figures by system, or why there are none."""

    by_system: Mapping[str, Sequence[Any]]
    faults: Sequence[Fault] = ()
    status: str = OK


def chunks(spec: SweepSpec) -> list[Chunk]:
    """Cut a sweep into chunks of consecutive rows, counted from 1."""
    count = spec.costings
    return [
        Chunk(number, first, min(CHUNK_ROWS, count - first + 1))
        for number, first in enumerate(range(1, count + 1, CHUNK_ROWS), start=1)
    ]


def chunk_payload(spec: SweepSpec, number: int) -> bytes:
    """Return all that a worker needs to know of one chunk, the same bytes each time.

    Parameters
    ----------
    spec : SweepSpec
        The sweep.
    number : int
        Number of the chunk, counted from 1.
    """
    first = (number - 1) * CHUNK_ROWS + 1
    count = min(CHUNK_ROWS, spec.costings - first + 1)
    sent = {
        "number": number,
        "seed": spec.seed,
        "document": spec.document,
        "paths": spec.paths,
        "figures": spec.figures,
        "rows": [
            [row.number, row.external_id, dict(row.set)] for row in rows_of(spec, first, count)
        ],
    }
    text = json.dumps(sent, ensure_ascii=False, separators=(",", ":"))
    return gzip.compress(text.encode("utf-8", "surrogatepass"), LEVEL, mtime=0)


def run_chunk(
    payload: bytes, read: Read, stopping: Callable[[], bool] | None = None
) -> ChunkResult:
    """Cost the rows of a chunk.

    Parameters
    ----------
    payload : bytes
        What `chunk_payload` returned.
    read : callable
        Turns a document into a scenario or raises InputError with every fault.
    stopping : callable, optional
        Whether to leave off; asked between rows.

    Raises
    ------
    StoppedError
        If it was to leave off.
    """
    work = _unpacked(payload)
    drawn = can_be_drawn(work.figures)
    outcomes: dict[int, _Outcome] = {}
    groups: dict[str, Group] = {}

    def alone(row: Row) -> None:
        outcome = _tried(lambda: _alone(_checked(work.document, row, read), work.figures), row)
        outcomes[row.number] = outcome

    for row in work.rows:
        refuse_if_stopping(stopping)
        if not drawn:
            alone(row)
            continue
        found = _tried(lambda row=row: _checked(work.document, row, read), row)
        if isinstance(found, _Outcome):
            outcomes[row.number] = found
        else:
            groups.setdefault(shape_of(row), Group(found, [])).rows.append(row)
    for group in groups.values():
        if len(group.rows) >= FEWEST:
            outcomes |= _together(group, work.figures)
        for row in group.rows:
            if row.number not in outcomes:
                refuse_if_stopping(stopping)
                alone(row)
    return _written(work, outcomes)


def failed_chunk(payload: bytes) -> ChunkResult:
    """Return the answer of a chunk that broke down each time it was tried: all its rows failed."""
    work = _unpacked(payload)
    return _written(work, {row.number: _broken() for row in work.rows})


def _unpacked(payload: bytes) -> _Payload:
    text = gzip.decompress(payload).decode("utf-8", "surrogatepass")
    sent = json.loads(text, parse_int=_whole)
    return _Payload(
        sent["document"],
        [Row(number, external_id, settings) for number, external_id, settings in sent["rows"]],
        sent["paths"],
        sent["figures"],
    )


def _whole(text: str) -> float:
    """Read a whole number, as a float where it is longer than any library takes."""
    return int(text) if len(text) <= DIGITS_OF_A_WHOLE_NUMBER else float(text)


def _tried(work: Callable[[], Any], row: Row) -> Any:  # noqa: ANN401 - what work returns
    """Do the work of one row, and turn what goes wrong into its outcome."""
    try:
        return work()
    except InputError as error:
        return _Outcome({}, error.faults, REFUSED)
    except Exception as error:  # noqa: BLE001 - one farm must not take the others with it
        log.error(  # noqa: TRY400 - a trace might tell what a farm is called
            "row %d of a sweep could not be costed: %s", row.number, type(error).__name__
        )
        return _broken()


def _broken() -> _Outcome:
    return _Outcome({}, [Fault("", BROKE_DOWN)], FAILED)


def _checked(document: Document, row: Row, read: Read) -> Scenario:
    uncountable = [
        Fault(path, f"{path} is {value}, which is no number that can be computed with.")
        for path, value in row.set.items()
        if isinstance(value, float) and not math.isfinite(value)
    ]
    if uncountable:
        raise InputError(uncountable)
    scenario = read(with_settings(document, row.set))
    faults = faults_of(scenario)
    if faults:
        raise InputError(faults)
    return scenario


def _together(group: Group, figures: Sequence[str]) -> dict[int, _Outcome]:
    """Cost rows in one run; those are left out that have to be costed alone."""
    try:
        found = worked_together(group, figures)
    except InputError:
        return {}  # costed alone, each says what it lacks
    except Exception as error:  # noqa: BLE001 - costed alone, the row at fault is found
        log.warning("rows of a sweep could not be costed together: %s", type(error).__name__)
        return {}
    return {
        row.number: _Outcome({key: values[at] for key, values in found.by_system.items()})
        for at, row in enumerate(group.rows)
        if not found.unserved[at]
    }


def _alone(scenario: Scenario, figures: Sequence[str]) -> _Outcome:
    return _Outcome(figures_alone(cost(scenario), figures))


def _written(work: _Payload, outcomes: Mapping[int, _Outcome]) -> ChunkResult:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    lines = failed = 0
    problems: list[dict[str, Any]] = []
    for row in work.rows:
        outcome = outcomes[row.number]
        for line in _lines(row, outcome, work):
            writer.writerow([cell(value) for value in line])
            lines += 1
        if outcome.status != OK:
            failed += 1
            problems.append(
                {
                    "row": row.number,
                    "external_id": row.external_id,
                    "faults": [_told(fault) for fault in outcome.faults],
                }
            )
    return ChunkResult(text.getvalue().encode(), lines, failed, problems)


def _lines(row: Row, outcome: _Outcome, work: _Payload) -> Iterator[list[Any]]:
    start = [
        row.number,
        row.external_id,
        *[_plain(row.set.get(path)) for path in work.paths],
    ]
    if outcome.status != OK:
        nothing = [None] * len(work.figures)
        yield [*start, None, *nothing, outcome.status, outcome.faults[0].detail]
    for key, values in outcome.by_system.items():
        yield [*start, key, *values, OK, None]


def _plain(value: object) -> object:
    """Return a value as it is sent, where a cell would write it otherwise."""
    return json.dumps(value, ensure_ascii=False) if is_object(value) else value


def _told(fault: Fault) -> dict[str, Any]:
    return {name: value for name, value in asdict(fault).items() if value is not None}
