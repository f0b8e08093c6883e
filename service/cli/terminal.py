"""How the command line speaks: answers to standard output, all else to standard error."""

from collections.abc import Generator
from contextlib import contextmanager, suppress

import typer
from pydantic import ValidationError
from pydantic_settings import SettingsError
from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

from service.costing.errors import Fault, InputError
from service.store.errors import OperatorError

FAULTY = 2
"""Ends a command that was asked for what cannot be done."""


def out() -> Console:
    """Return where tables are printed; a title that looks like markup is printed as it stands."""
    return Console(soft_wrap=False, highlight=False, markup=False, emoji=False)


def plain_table() -> Table:
    """Return a table without a frame and yet without columns, narrow enough for any screen."""
    return Table(
        box=SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
        padding=(0, 1, 0, 0),
        header_style="bold",
    )


def say(text: str) -> None:
    """Say something about the program; where that finds no room, the program goes on unsaid."""
    with suppress(OSError):
        typer.echo(text, err=True)


@contextmanager
def refusing() -> Generator[None]:
    """End the command with a sentence where something is not as it must be.

    Raises
    ------
    Exit
        If it is so.
    """
    try:
        yield
    except InputError as error:
        for fault in error.faults:
            say(told(fault))
        raise typer.Exit(FAULTY) from None
    except OperatorError as error:
        say(str(error))
        raise typer.Exit(FAULTY) from None
    except SettingsError as error:
        say(f"{error}: {error.__cause__}." if error.__cause__ else f"{error}.")
        raise typer.Exit(FAULTY) from None
    except ValidationError as error:
        for setting in error.errors(include_url=False, include_input=False, include_context=False):
            name = ".".join(str(part) for part in setting["loc"]).upper()
            say(f"WINTERGROUND_{name}: {setting['msg']}.")
        raise typer.Exit(FAULTY) from None


def told(fault: Fault) -> str:
    """Return a fault as a line."""
    allowed = f" Allowed: {fault.allowed}." if fault.allowed else ""
    return f"{fault.input}: {fault.detail}{allowed}"
