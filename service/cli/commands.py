"""The commands that keep nothing, cost and reference; and all commands together."""

import json
import sys
from pathlib import Path
from typing import Annotated, Any

import typer
from rich.table import Table

from service.cli.asking import ask
from service.cli.comparison_table import show_comparison
from service.cli.costed import costed
from service.cli.database_commands import database
from service.cli.demonstration import demo
from service.cli.healthcheck import healthcheck
from service.cli.key_commands import key
from service.cli.serving import serve
from service.cli.sweep import sweep
from service.cli.terminal import FAULTY, out, say
from service.cli.trust import trust
from service.costing.errors import UnknownReferenceValueError
from service.costing.json_shapes import is_object
from service.costing.reference.table import Row, load_edition, newest_edition
from service.web.strict_json import NotJsonError, parse
from service.web.tables import table

app = typer.Typer(
    help="What each way of feeding beef cows and sheep through a wet winter costs a farm.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command()(demo)
app.command()(serve)
app.command()(healthcheck)
app.command()(ask)
app.command()(sweep)
app.command()(trust)
app.add_typer(database, name="db")
app.add_typer(key, name="key")


@app.command("cost")
def cost_file(
    file: Annotated[Path, typer.Argument(help="A scenario document, JSON; - for standard input.")],
    *,
    csv: Annotated[bool, typer.Option("--csv", help="Print the lines as CSV.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the whole costing.")] = False,
    workings: Annotated[
        bool, typer.Option("--workings", help="With --json: how each number was made.")
    ] = False,
) -> None:
    """Cost a scenario document and print the comparison."""
    document = _read(file)
    costing = costed(document, workings=workings)
    if as_json:
        json.dump(costing, sys.stdout, ensure_ascii=False, allow_nan=False)
        sys.stdout.write("\n")
    elif csv:
        sys.stdout.buffer.write(table(LINE_COLUMNS, line_rows(costing)))
    else:
        show_comparison(out(), costing)


@app.command()
def reference(
    key: Annotated[str | None, typer.Argument(help="A key, or the beginning of some.")] = None,
) -> None:
    """Show reference values with unit, range and source."""
    edition = load_edition(newest_edition())
    if key in edition.rows:
        _show_row(edition.row(key))
        return
    rows = [row for name, row in edition.rows.items() if key is None or name.startswith(key)]
    if not rows:
        try:
            edition.row(key or "")
        except UnknownReferenceValueError as error:
            say(str(error))
            raise typer.Exit(FAULTY) from None
    listing = Table("Key", "Low", "Usual", "High", "Unit", "Source", pad_edge=False)
    for row in rows:
        listing.add_row(
            row.key, _cell(row.low), _cell(row.usual), _cell(row.high), row.unit, row.source
        )
    out().print(listing)


LINE_COLUMNS = ("currency", "system", "system_title", "line", "line_title", "kind", "value", "unit")


def line_rows(costing: dict[str, Any]) -> list[dict[str, Any]]:
    """Return one row for each system, line and kind of money; totals are not among them."""
    return [
        {
            "currency": costing["currency"],
            "system": system["system"],
            "system_title": system["title"],
            "line": line["line"],
            "line_title": line["title"],
            "kind": kind,
            "value": value,
            "unit": f"{costing['currency']}/year",
        }
        for system in costing["systems"]
        for line in system["lines"]
        for kind, value in line["by_kind"].items()
    ]


def _show_row(row: Row) -> None:
    source = load_edition(newest_edition()).sources[row.source]
    facts = {
        "key": row.key,
        "meaning": row.meaning,
        "unit": row.unit,
        "low, usual, high": " / ".join(_cell(value) for value in (row.low, row.usual, row.high)),
        "source": " ".join(
            str(part)
            for part in (source.author, source.year, source.title, source.published_in)
            if part
        ),
        "where": row.where,
        "note": row.note,
        "checked": "from memory, not yet checked against the source" if row.unverified else "",
        "find out": row.find_out,
        "money": f"{row.currency} of {row.price_year}" if row.currency else "",
    }
    listing = Table(show_header=False, box=None, pad_edge=False)
    for name, value in facts.items():
        if value:
            listing.add_row(name, str(value))
    out().print(listing)


def _cell(value: float | str | None) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{value:g}"


def _read(file: Path) -> dict[str, Any]:
    try:
        body = sys.stdin.buffer.read() if str(file) == "-" else file.read_bytes()
        document = parse(body).value
    except (OSError, NotJsonError) as error:
        say(f"{file}: {error}")
        raise typer.Exit(FAULTY) from None
    if is_object(document) and "document" in document and "herd" not in document:
        document = document["document"]
    return document
