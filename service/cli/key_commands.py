"""key: office keys, made, listed and revoked by whoever runs the host."""

import json
import sys
from typing import Annotated, Any

import typer
from rich.box import SIMPLE_HEAD
from rich.table import Table

from service.cli.options import Data, DatabaseAddress, settings_of
from service.cli.serving import closed, opened, ready
from service.cli.terminal import FAULTY, out, refusing, say
from service.scenarios.errors import UnknownPartError
from service.scenarios.records import Credential, Office
from service.scenarios.sharing import (
    DEFAULT_KEY_DAYS,
    MOST_DAYS,
    keys_on_host,
    make_key_on_host,
    revoke_on_host,
)

DAY = "%Y-%m-%d"

key = typer.Typer(help="Office keys: create, list, revoke.", no_args_is_help=True)


@key.command("create")
def create_key(
    office: Annotated[str, typer.Option(help="Name of the office; made if there is none.")],
    access: Annotated[
        str, typer.Option(help="read; write; admin: keys, audit, erasure and the bin too.")
    ],
    label: Annotated[str, typer.Option(help="To tell the key from others.")],
    expires_in_days: Annotated[
        int, typer.Option(help=f"How long it opens anything, at most {MOST_DAYS} days.")
    ] = DEFAULT_KEY_DAYS,
    data: Data = None,
    database: DatabaseAddress = None,
) -> None:
    """Make a key and print its token, once: it cannot be had again."""
    with refusing():
        settings = settings_of(data, database)
        ready(settings, data, database)
        desk = opened(settings)
        try:
            owner, credential, token = make_key_on_host(
                desk, office, access, label, expires_in_days
            )
        finally:
            closed(desk)
    say(
        f"Key {credential.id} of {owner.name}: {credential.access}, until "
        f"{credential.expires_at.strftime(DAY)}. It is shown this once; keep it safe, and send it "
        "as Authorization: Bearer."
    )
    typer.echo(token)


@key.command("list")
def list_keys(
    data: Data = None,
    database: DatabaseAddress = None,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """List the keys of every office, without their tokens."""
    from service.store.upgrading import required_to_exist  # noqa: PLC0415 - costing needs no database

    with refusing():
        settings = settings_of(data, database)
        required_to_exist(settings)
        ready(settings, data, database)
        desk = opened(settings)
        try:
            with desk.store.reading() as session:
                found = keys_on_host(session)
            now = desk.now()
        finally:
            closed(desk)
    rows = [_row(office, credential, live=credential.live(now)) for office, credential in found]
    if as_json:
        json.dump(rows, sys.stdout, ensure_ascii=False, indent=1)
        sys.stdout.write("\n")
        return
    listing = Table("Office", "Label", box=SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    for title in ("Access", "Until", "Used", "Id"):
        listing.add_column(title, no_wrap=True)
    for row in rows:
        until = row["expires_at"][: len("2026-01-01")] if row["state"] == "live" else row["state"]
        used = row["last_used_on"] or "never"
        listing.add_row(row["office"], row["label"], row["access"], until, used, row["id"])
    out().print(listing)


@key.command("revoke")
def revoke_key(
    key_id: Annotated[str, typer.Argument(metavar="ID", help="Of a key, or of a share link.")],
    data: Data = None,
    database: DatabaseAddress = None,
) -> None:
    """Revoke a key or a share link at once and for good."""
    from service.store.upgrading import required_to_exist  # noqa: PLC0415 - costing needs no database

    with refusing():
        settings = settings_of(data, database)
        required_to_exist(settings)
        ready(settings, data, database)
        desk = opened(settings)
        try:
            revoked = revoke_on_host(desk, key_id)
        except UnknownPartError as error:
            say(f"{key_id}: {error}")
            raise typer.Exit(FAULTY) from None
        finally:
            closed(desk)
    what = "Key" if revoked.kind == "key" else "Link"
    say(f"{what} {revoked.id} ({revoked.label}) opens nothing any more.")


def _row(office: Office, credential: Credential, *, live: bool) -> dict[str, Any]:
    ended = "expired" if credential.revoked_at is None else "revoked"
    used = credential.last_used_on
    return {
        "id": credential.id,
        "office": office.name,
        "access": credential.access,
        "label": credential.label,
        "hint": credential.hint,
        "created_at": f"{credential.created_at:%Y-%m-%dT%H:%M:%SZ}",
        "expires_at": f"{credential.expires_at:%Y-%m-%dT%H:%M:%SZ}",
        "last_used_on": None if used is None else used.isoformat(),
        "state": "live" if live else ended,
    }
