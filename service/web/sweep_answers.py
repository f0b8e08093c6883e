"""What is answered of sweeps, and their results in the dialects of spreadsheets."""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from service.scenarios.analyses import ENDED
from service.scenarios.desk import Document
from service.scenarios.replays import Answer
from service.scenarios.sweep_records import Sweep
from service.scenarios.sweeps import request_of
from service.web.analysis_answers import ACCEPTED, CREATED, RETRY_AFTER, told_problem
from service.web.answers import json_bytes, timestamp
from service.web.tables import MANNERS, PLAIN

SWEEPS = "/v1/sweeps"
COMPLETE = "Results-Complete"
DECIMAL = re.compile(r"-?\d+\.\d+(?:e[-+]\d+)?")
WORDS = frozenset({"external_id", "system", "status", "problem"})
"""Columns whose cells are no numbers, whatever they look like."""


def address_of_sweep(sweep: Sweep) -> str:
    """Return the address of a sweep."""
    return f"{SWEEPS}/{sweep.id}"


def started_answer(sweep: Sweep) -> Answer:
    """Return what is answered to a new sweep: done already, or being worked on."""
    address = address_of_sweep(sweep)
    headers = {"Location": address, "Content-Location": address, **headers_of(sweep)}
    status = CREATED if sweep.state in ENDED else ACCEPTED
    return Answer(status, json_bytes(sweep_body(sweep)), headers, sweep.id)


def headers_of(sweep: Sweep) -> Mapping[str, str]:
    """Return the headers that go with a sweep: when to look again while it is open."""
    return {} if sweep.state in ENDED else RETRY_AFTER


def sweep_body(sweep: Sweep) -> Document:
    """Return a sweep, as far as it is."""
    asked = request_of(sweep)
    return {
        "id": sweep.id,
        "scenario": sweep.scenario_id,
        "revision": sweep.revision,
        "state": sweep.state,
        "progress": {"done": sweep.done, "total": sweep.total, "unit": "chunk"},
        "farms": asked["farms"],
        "costings": asked["costings"],
        "rows": sweep.result_rows,
        "failed_rows": sweep.failed_rows,
        "columns": asked["columns"],
        "figures": asked["figures"],
        "vary": asked["vary"],
        "seed": sweep.seed,
        "results": f"{address_of_sweep(sweep)}/results.csv",
        "cancel_requested_at": timestamp(sweep.cancel_at) if sweep.cancel_at else None,
        "engine_version": sweep.engine_version,
        "reference_edition": sweep.reference_edition,
        "content_key": sweep.request_key,
        "created_at": timestamp(sweep.created_at),
        "started_at": timestamp(sweep.started_at) if sweep.started_at else None,
        "finished_at": timestamp(sweep.finished_at) if sweep.finished_at else None,
        "expires_at": timestamp(sweep.expires_at),
        "problem": None if sweep.problem is None else told_problem(sweep.problem),
    }


def is_complete(sweep: Sweep) -> bool:
    """Whether all rows that there will be are there."""
    return sweep.state == "done"


def in_dialect(
    columns: Sequence[str], chunks: Iterable[bytes], dialect: str | None
) -> Iterator[bytes]:
    """Yield results as CSV with a header, a chunk at a time.

    Parameters
    ----------
    columns : sequence of str
        Names of the columns.
    chunks : iterable of bytes
        Rows without a header, RFC 4180, comma and point.
    dialect : str or None
        ``excel``, ``excel-eu`` or ``tsv``; as they are if not given.
    """
    manner = MANNERS.get(dialect or "", PLAIN)
    yield manner.mark + _written([columns], manner.separator)
    if (manner.separator, manner.decimal) == (PLAIN.separator, PLAIN.decimal):
        yield from chunks
        return
    numeric = [name not in WORDS for name in columns]
    for chunk in chunks:
        rows = csv.reader(io.StringIO(chunk.decode(), newline=""))
        yield _written(
            (
                [
                    cell.replace(".", manner.decimal)
                    if number and DECIMAL.fullmatch(cell)
                    else cell
                    for cell, number in zip(row, numeric, strict=True)
                ]
                for row in rows
            ),
            manner.separator,
        )


def _written(rows: Iterable[Sequence[str]], separator: str) -> bytes:
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator="\r\n").writerows(rows)
    return text.getvalue().encode()
