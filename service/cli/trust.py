"""The command that shows what the engine was held against."""

import json
import sys
from collections.abc import Sequence
from typing import Annotated, Any

import typer
from rich.table import Table

from service.cli.terminal import FAULTY, out, plain_table, say
from service.costing.overrides import with_settings
from service.trust import wording
from service.trust.listing import (
    UnknownDocumentError,
    case_of,
    case_record,
    document_of,
    line_of,
    records,
)
from service.trust.records import CLAIMS, Case, published_cases
from service.trust.review_records import reference_review


def trust(
    case: Annotated[str | None, typer.Argument(help="A case, as V02; all, if not given.")] = None,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the records, unrounded.")] = False,
    document: Annotated[
        str | None,
        typer.Option("--document", metavar="NAME", help="Print a document of the case, to cost."),
    ] = None,
    line: Annotated[
        int | None,
        typer.Option("--line", help="With --document: with what was set on it for this line."),
    ] = None,
) -> None:
    """Show published cases beside what the engine says to them."""
    if (document is not None and case is None) or (line is not None and document is None):
        say("Name a case with --document, and a document with --line.")
        raise typer.Exit(FAULTY)
    cases = published_cases()
    if case is None:
        if as_json:
            _print(records(cases, reference_review()))
        else:
            _show_all(cases)
        return
    try:
        found = case_of(cases, case)
        if document is not None:
            _print(_document(found, document, line))
            return
    except UnknownDocumentError as error:
        say(str(error))
        raise typer.Exit(FAULTY) from None
    if as_json:
        _print(case_record(found))
    else:
        _show(found)


def _document(case: Case, name: str, line: int | None) -> dict[str, Any]:
    found = document_of(case, name)
    return found if line is None else with_settings(found, line_of(case, name, line).settings)


def _show_all(cases: Sequence[Case]) -> None:
    console = out()
    for claim, found in wording.by_claim(cases):
        console.print(wording.CLAIM_KINDS[claim], style="bold")
        console.print(CLAIMS[claim])
        console.print(wording.counted(found))
        table = _table("Case", "Claim", "Agree", "Differ", "Not compared", "Not printed", "What")
        for case in found:
            table.add_row(
                case.key,
                wording.CLAIMS_IN_SHORT[claim],
                *(
                    str(case.count(each))
                    for each in ("agrees", "disagrees", "not_compared", "beside")
                ),
                case.title,
            )
        console.print(table)
        console.print()
    console.print("One case line by line: winterground trust CASE. All of it: /trust.")


def _show(case: Case) -> None:
    console = out()
    console.print(f"{case.key}: {case.title}", style="bold")
    console.print(case.source)
    console.print(f"{wording.CLAIM_KINDS[case.claim]}. {case.shows}")
    numbers = wording.numbers(case)
    for outcome, lines in wording.by_outcome(case):
        console.print()
        console.print(f"{wording.OUTCOME_HEADINGS[outcome]} ({len(lines)})", style="bold")
        table = _table("", "What", "Printed", "Engine", "Difference")
        for line in lines:
            table.add_row(
                str(numbers[line.what]),
                f"{line.what}\n{line.why}" if line.why else line.what,
                line.printed,
                wording.with_unit(line.engine, line.unit),
                wording.difference(line),
            )
        console.print(table)
    if case.documents:
        console.print()
        console.print("Documents, to cost them:")
        for name in case.documents:
            console.print(wording.by_terminal(case, name), soft_wrap=True)


def _table(*heads: str) -> Table:
    table = plain_table()
    for head in heads:
        table.add_column(head, overflow="fold")
    return table


def _print(found: dict[str, Any]) -> None:
    json.dump(found, sys.stdout, ensure_ascii=False, allow_nan=False)
    sys.stdout.write("\n")
