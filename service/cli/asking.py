"""ask: ten questions, and what each way of feeding would cost the farm that answers them."""

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Any

import typer

from service.cli.comparison_table import show_comparison
from service.cli.costed import costed
from service.cli.interview import Interview
from service.cli.terminal import FAULTY, out, refusing, say
from service.costing.json_shapes import is_object
from service.quick_start import QuickStart, filled, three_guesses
from service.quick_start.answers import ROOT
from service.web.pages.templating import tamed
from service.web.pages_start.guesses_told import ToldGuess, how_many, these_could, told_guesses
from service.web.reading import scenario_of
from service.web.strict_json import NotJsonError, parse

STANDARD_INPUT = "-"


def ask(
    *,
    as_json: Annotated[
        Path | None,
        typer.Option("--json", help="Write the scenario document to this file.", dir_okay=False),
    ] = None,
    answers: Annotated[
        Path | None,
        typer.Option("--answers", help="Answers, JSON, instead of asking; - for standard input."),
    ] = None,
) -> None:
    """Ask ten questions, then cost what the farm does now and what else would suit it."""
    given = _asked() if answers is None else _read(answers)
    with refusing():
        quick_start = filled(given, scenario_of)
        first = three_guesses(quick_start, scenario_of)
    if as_json is not None:
        _write(as_json, quick_start.document)
    costing = costed(quick_start.document)
    show_comparison(out(), costing | {"check_first": []})
    _show(_said(quick_start, told_guesses(first, quick_start.document)))


def _asked() -> dict[str, Any]:
    return Interview(_heard, say).held()


def _heard(prompt: str) -> str | None:
    """Show a prompt and return the next line; None where there is none."""
    typer.echo(prompt, nl=False, err=True)
    line = sys.stdin.readline()
    if line == "":
        say("\nWhat was not answered counts as not sure.")
        return None
    return line


def _read(file: Path) -> Any:  # noqa: ANN401 - looked over by whoever fills the scenario
    """Return answers from a file, bare or as the body of a request."""
    try:
        is_piped = str(file) == STANDARD_INPUT
        found = parse(sys.stdin.buffer.read() if is_piped else file.read_bytes()).value
    except (OSError, NotJsonError) as error:
        say(f"{file}: {error}")
        raise typer.Exit(FAULTY) from None
    return found[ROOT] if is_object(found) and set(found) == {ROOT} else found


def _write(file: Path, document: dict[str, Any]) -> None:
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    try:
        file.write_text(f"{text}\n", "utf-8")
    except OSError as error:
        say(f"{file}: {error}")
        raise typer.Exit(FAULTY) from None
    say(f"The scenario: {file}")


def _show(lines: Iterable[str]) -> None:
    console = out()
    for line in lines:
        console.print(tamed(line), markup=False)


def _said(quick_start: QuickStart, first: list[ToldGuess]) -> Iterable[str]:
    """Yield what is said beside the table: why these ways, what is missing, what was guessed."""
    systems = quick_start.document["systems"]
    yield "\nWhy these ways are compared:"
    for system in quick_start.systems:
        yield f"  {systems[system['key']]['title']}: {system['why']}"
    if quick_start.needs:
        yield "\nWhat is missing:"
        yield from (f"  {need}" for need in quick_start.needs)
    if quick_start.notes:
        yield "\nWhat you told and how it is used:"
        yield from (f"  {note['note']}" for note in quick_start.notes)
    if quick_start.guessed:
        yield f"\n{how_many(quick_start.guessed)}"
        yield from (f"  {guess['sentence']}" for guess in quick_start.guessed)
    if first:
        yield f"\n{these_could(first)}"
    for number, guess in enumerate(first, start=1):
        yield f"  {number}. {guess.sentence} {guess.leaders}".rstrip()
        yield f"     {guess.find_out}"
