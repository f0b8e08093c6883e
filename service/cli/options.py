"""Options that several commands have, and the settings that come of them."""

import re
import shlex
from pathlib import Path
from typing import Annotated, Any

import typer

from service.cli.addresses import HOST, PORT, is_loopback, url_of
from service.settings import PREFIX, Settings
from service.store.errors import OperatorError

__all__ = [
    "HOST",
    "PORT",
    "Data",
    "DatabaseAddress",
    "Host",
    "Port",
    "as_typed",
    "is_loopback",
    "settings_of",
    "url_of",
]

Host = Annotated[str, typer.Option(help="Address to listen on.")]
Port = Annotated[int, typer.Option(min=1, max=65_535, help="Port to listen on.")]
Data = Annotated[
    Path | None,
    typer.Option(
        help="Folder of the database, its backups, the journal and the secrets. "
        f"Else {PREFIX}DATA, else the user's data folder.",
        file_okay=False,
    ),
]
DatabaseAddress = Annotated[
    str | None,
    typer.Option(
        "--database",
        help="PostgreSQL instead of a file: postgresql://user@host/name. "
        f"An address with a password goes into {PREFIX}DATABASE, where other users do not see it.",
    ),
]

PASSWORD = re.compile(r"://[^:/@]*:[^@]+@|\bpassword=[^&\s]", re.IGNORECASE)
"""In an address of a database, whatever else may be wrong with that."""


def settings_of(data: Path | None, database: str | None) -> Settings:
    """Return the settings: options first, then the environment.

    Raises
    ------
    OperatorError
        If a password was typed: the list of processes shows every option to every user.
    ValidationError
        If one is not as it must be.
    """
    if database is not None and PASSWORD.search(database):
        detail = (
            f"A password in --database is seen by every user of this machine: give the address in "
            f"{PREFIX}DATABASE instead, and change the password if others work here."
        )
        raise OperatorError(detail)
    given: dict[str, Any] = {"data": data, "database": database}
    return Settings(**{name: value for name, value in given.items() if value is not None})


def as_typed(command: str, data: Path | None, database: str | None) -> str:
    """Return a command that means the same installation, with the options that were given.

    An address of a database is not repeated: a password may stand in it.
    """
    words = ["winterground", *command.split()]
    if data is not None:
        words += ["--data", str(data)]
    shown = shlex.join(words)
    return shown if database is None else f"{shown} --database ADDRESS"
