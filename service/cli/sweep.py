"""sweep: many farms or settings costed here, without a server or a database."""

import csv
import io
import sys
from collections.abc import Generator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, BinaryIO

import typer

from service.cli.terminal import FAULTY, refusing, say
from service.costing.errors import InputError
from service.costing.json_shapes import is_object
from service.costing.reference.table import newest_edition
from service.costing.table_cells import cell
from service.scenarios.costings import EDITION
from service.scenarios.sweep_bases import Base, faults_of_base, faults_of_fixed
from service.scenarios.sweeps import NewSweep, covered
from service.sweeps.chunk import chunks
from service.sweeps.executors import KINDS, executor_of
from service.sweeps.records import ChunkResult, SweepSpec
from service.sweeps.running import run_all
from service.sweeps.spec import columns, faults_of_sweep
from service.web.reading import prepare, scenario_of
from service.web.strict_json import NotJsonError, parse
from service.web.sweep_bodies import read_sweep
from service.web.sweep_csv import farms_in, text_of

if TYPE_CHECKING:
    from rich.progress import Progress

STANDARD = "-"
FAULT_COLUMNS = (
    "row",
    "external_id",
    "input",
    "detail",
    "received",
    "allowed",
    "unit",
    "suggestion",
)
INTERRUPTED = 130
"""Ends a command that was broken off by Ctrl-C, as shells expect."""


def sweep(
    file: Annotated[
        Path,
        typer.Argument(
            help="The farms: a table (CSV) with a line for each and a column for each input path, "
            "or JSON as POST /v1/sweeps takes it."
        ),
    ],
    base: Annotated[
        Path | None,
        typer.Option(help="The scenario that the farms differ from, JSON; - for standard input."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(help="Where the rows go, CSV; the faults go into a file beside it."),
    ] = None,
    executor: Annotated[str | None, typer.Option(help=f"What it runs on: {KINDS}.")] = None,
) -> None:
    """Cost many farms or settings and write a row for each farm, setting and system."""
    with refusing():
        spec = _spec(file, base)
        name = executor or _executor_set()
    try:
        with _faults_beside(out) as faults, _rows_to(out) as rows:
            refused = _run(spec, name, rows, faults)
    except (ValueError, OSError) as error:
        say(f"{error}.")
        raise typer.Exit(FAULTY) from None
    except KeyboardInterrupt:
        say("Broken off; nothing was kept.")
        raise typer.Exit(INTERRUPTED) from None
    if refused:
        where = f": {_beside(out)}" if out is not None else "; --out FILE tells all faults"
        say(f"{refused} of {spec.costings} could not be costed{where}")


def _executor_set() -> str:
    from service.settings import Settings  # noqa: PLC0415 - only if the option is not given

    return Settings().executor


def _spec(file: Path, base: Path | None) -> SweepSpec:
    """Return what is asked for.

    Raises
    ------
    InputError
        If something is wrong with it as a whole; carries every fault.
    """
    asked = _asked(_raw(file), file, None if base is None else _document(base))
    if asked.scenario_id is not None:
        say("A stored scenario needs the server; give its document, or --base.")
        raise typer.Exit(FAULTY)
    whole = {EDITION: newest_edition(), **asked.document}
    spec = SweepSpec(whole, asked.farms, asked.vary, asked.figures, asked.seed)
    told = faults_of_base(scenario_of, Base(whole, str(whole[EDITION])), covered(asked))
    faults = [*faults_of_fixed(spec.paths, spec.vary), *faults_of_sweep(spec), *told]
    if faults:
        raise InputError(faults)
    return spec


def _asked(raw: bytes, file: Path, document: dict[str, Any] | None) -> NewSweep:
    if not raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith((b"{", b"[")):
        if document is None:
            say(f"{file} is a table: name the scenario that the farms differ from by --base.")
            raise typer.Exit(FAULTY)
        return NewSweep(farms_in(text_of(raw), document), document)
    try:
        parsed = parse(raw)
    except NotJsonError as error:
        say(f"{file}: {error}")
        raise typer.Exit(FAULTY) from None
    sent = parsed.value
    if document is not None and is_object(sent):
        sent = {**sent, "document": document}
    return read_sweep(sent, sound=parsed.sound)


def _document(file: Path) -> dict[str, Any]:
    try:
        found = parse(_raw(file)).value
    except NotJsonError as error:
        say(f"{file}: {error}")
        raise typer.Exit(FAULTY) from None
    if is_object(found) and "document" in found and "herd" not in found:
        found = found["document"]
    if not is_object(found):
        say(f"{file}: a scenario is a JSON object.")
        raise typer.Exit(FAULTY)
    return found


def _raw(file: Path) -> bytes:
    try:
        return sys.stdin.buffer.read() if str(file) == STANDARD else file.read_bytes()
    except OSError as error:
        say(f"{file}: {error}")
        raise typer.Exit(FAULTY) from None


def _run(spec: SweepSpec, name: str, rows: BinaryIO, faults: "_Faults") -> int:
    """Write all rows in their order; return how many could not be costed."""
    sizes = {chunk.number: chunk.row_count for chunk in chunks(spec)}
    early: dict[int, ChunkResult] = {}
    refused, following = 0, 1
    with executor_of(name, prepare) as executor, _progress() as progress:
        bar = progress.add_task("Costed", total=spec.costings)
        rows.write(_line(columns(spec)))

        def keep(number: int, result: ChunkResult) -> None:
            nonlocal following, refused
            progress.advance(bar, sizes[number])
            early[number] = result
            while (ready := early.pop(following, None)) is not None:
                rows.write(ready.csv)
                faults.write(ready)
                refused += ready.failed
                following += 1

        try:
            run_all(spec, scenario_of, executor, keep)
        except BaseException:
            executor.shutdown(wait=False, cancel_futures=True)
            raise
    return refused


def _progress() -> "Progress":
    from rich.console import Console  # noqa: PLC0415 - few commands draw a bar
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn  # noqa: PLC0415
    from rich.progress import TimeRemainingColumn as TimeLeft  # noqa: PLC0415

    told = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeLeft())
    return Progress(*told, console=Console(stderr=True))


@dataclass
class _Faults:
    """What is wrong with farms, a line each; nowhere if there is no file for it."""

    file: BinaryIO | None

    def write(self, result: ChunkResult) -> None:
        """Write the faults of a chunk."""
        if self.file is None:
            return
        for problem in result.problems:
            for fault in problem["faults"]:
                told = {**fault, "row": problem["row"], "external_id": problem["external_id"]}
                self.file.write(_line([cell(told.get(name)) for name in FAULT_COLUMNS]))


def _line(cells: Sequence[str]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerow(cells)
    return text.getvalue().encode()


def _beside(out: Path) -> Path:
    """Return where the faults of a file of rows go."""
    return out.with_name(f"{out.stem}.faults.csv")


@contextmanager
def _rows_to(out: Path | None) -> Generator[BinaryIO]:
    """Open where rows go; a file is there only once it is whole."""
    if out is None:
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    with _whole(out) as file:
        yield file


@contextmanager
def _faults_beside(out: Path | None) -> Generator[_Faults]:
    if out is None:
        yield _Faults(None)
        return
    with _whole(_beside(out)) as file:
        file.write(_line(FAULT_COLUMNS))
        yield _Faults(file)


@contextmanager
def _whole(place: Path) -> Generator[BinaryIO]:
    """Open a file that takes its name when it is done, and is gone if that fails.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    partial = place.with_name(f"{place.name}.partial")
    try:
        with partial.open("wb") as file:
            yield file
        partial.replace(place)
    finally:
        partial.unlink(missing_ok=True)
