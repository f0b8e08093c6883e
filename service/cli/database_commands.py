"""db: the database, looked at, upgraded, backed up, brought back, checked."""

import json
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from rich.table import Table

from service.cli.options import Data, DatabaseAddress, settings_of
from service.cli.terminal import FAULTY, out, refusing, say
from service.store.errors import SchemaBehindError
from service.web.reading import scenario_of

if TYPE_CHECKING:
    from service.store.inventory import Inventory

KILO = 1_000
UNSOUND = 1

database = typer.Typer(
    help="The database: status, upgrade, backup, restore, check.", no_args_is_help=True
)


@database.command()
def status(
    data: Data = None,
    address: DatabaseAddress = None,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """Say which database it is, at which schema, and how much it holds."""
    from service.store.inventory import inventory  # noqa: PLC0415 - costing needs no database

    with refusing():
        found = inventory(settings_of(data, address))
    if as_json:
        json.dump(_as_json(found), sys.stdout, ensure_ascii=False, indent=1)
        sys.stdout.write("\n")
        return
    listing = Table(show_header=False, box=None, pad_edge=False)
    for name, value in _as_rows(found).items():
        listing.add_row(name, value)
    out().print(listing)


@database.command()
def upgrade(data: Data = None, address: DatabaseAddress = None) -> None:
    """Bring the database to the schema of this program; an SQLite file is copied first."""
    from service.store.upgrading import upgrade as upgraded  # noqa: PLC0415 - costing needs no database

    with refusing():
        done = upgraded(settings_of(data, address))
    if done.before == done.now:
        say(f"The database is at schema {done.now} already.")
        return
    say(f"Upgraded the database from {done.before or 'nothing'} to schema {done.now}.")
    if done.backup is not None:
        say(f"As it was before: {done.backup}")


@database.command()
def backup(
    data: Data = None,
    address: DatabaseAddress = None,
    *,
    to: Annotated[
        Path | None, typer.Option(help="A new file, or a folder; else the folder of backups.")
    ] = None,
) -> None:
    """Copy the SQLite database, in use or not, and print where to."""
    from service.store.backups import backup as backed_up  # noqa: PLC0415 - costing needs no database

    with refusing():
        done = backed_up(settings_of(data, address), to)
    typer.echo(str(done.file))
    say(f"{_size(done.proof.bytes)}, schema {done.proof.schema}, SHA-256 {done.proof.sha256}")
    if done.forgotten:
        say(f"Deleted {len(done.forgotten)} files of backups that were too old.")
    say("Keep the journal and the secrets of the data folder too, apart from it.")


@database.command()
def restore(
    file: Annotated[
        Path | None,
        typer.Argument(help="A backup. Without it: only erase and revoke again."),
    ] = None,
    data: Data = None,
    address: DatabaseAddress = None,
    *,
    revoke_links: Annotated[
        bool, typer.Option("--revoke-links", help="Revoke every share link too.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
) -> None:
    """Bring a backup back, then erase and revoke what was erased and revoked since."""
    from service.store.restoring import restore as restored  # noqa: PLC0415 - costing needs no database

    with refusing():
        settings = settings_of(data, address)
        if file is not None and not yes:
            question = f"Replace what is in {settings.data} by {file}?"
            typer.confirm(question, abort=True, err=True)
        try:
            done = restored(settings, file, scenario_of, revoke_links=revoke_links)
        except SchemaBehindError as error:
            say(f"{error} Run winterground db upgrade first.")
            raise typer.Exit(FAULTY) from None
    if done.file is not None:
        say(f"Brought back {done.file}.")
        if done.proof is None:
            say(f"No {done.file.name}.json lies beside it: it is sound, but may not be as it was.")
    if done.saved is not None:
        say(f"What stood before: {done.saved}")
    say(f"Erased again: {done.erased} scenarios. Revoked again: {done.revoked} keys and links.")
    if revoke_links:
        say(f"Revoked besides: {done.links_revoked} links.")


@database.command()
def check(data: Data = None, address: DatabaseAddress = None) -> None:
    """Check that what is kept is whole, and that what was erased or revoked is gone."""
    from service.store.soundness import findings  # noqa: PLC0415 - costing needs no database

    with refusing():
        try:
            found = findings(settings_of(data, address))
        except SchemaBehindError as error:
            found = [str(error)]
    for finding in found:
        typer.echo(finding)
    if found:
        raise typer.Exit(UNSOUND)
    typer.echo("Nothing is wrong.")


def _as_json(found: "Inventory") -> dict[str, Any]:
    return {
        "kind": found.kind,
        "place": found.place,
        "schema": found.schema.current,
        "schema_of_program": found.schema.head,
        "bytes": found.bytes,
        "counts": dict(found.counts),
        "last_backup": _time(found.last_backup),
        "journal_entries": found.journal_entries,
    }


def _as_rows(found: "Inventory") -> dict[str, str]:
    schema = found.schema.current or "none: there is no database yet"
    if found.schema.ahead:
        schema += f", newer than this program ({found.schema.head})"
    elif found.schema.behind and found.schema.current:
        schema += f", to be upgraded to {found.schema.head}"
    return {
        "Database": f"{found.kind}, {found.place}",
        "Schema": schema,
        "Size": _size(found.bytes),
        **{
            name.replace("_", " ").capitalize(): f"{count:,}"
            for name, count in found.counts.items()
        },
        "Last backup": _time(found.last_backup) or "none in the data folder",
        "Journal entries": f"{found.journal_entries:,}",
    }


def _time(at: datetime | None) -> str | None:
    return None if at is None else f"{at:%Y-%m-%dT%H:%M:%SZ}"


def _size(number: int) -> str:
    size = float(number)
    for unit in ("bytes", "kB", "MB"):
        if size < KILO:
            return f"{size:.0f} {unit}"
        size /= KILO
    return f"{size:.1f} GB"
