"""healthcheck: whether a server is ready, as an exit code.

Asked every few seconds by whatever keeps the server running, so it imports little.
"""

import threading
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from typing import Annotated
from urllib.parse import urlsplit

import typer

from service.cli.addresses import HOST, PORT, url_of

READY = "/health/ready"
NOT_READY = 1
"""Ends the command where the server is not ready; container engines keep 2 for themselves."""

SECONDS = 4.0
CONNECTIONS = {"http": HTTPConnection, "https": HTTPSConnection}

alone = typer.Typer(add_completion=False, pretty_exceptions_enable=False)


@alone.callback()
def _with_its_name() -> None:
    """Keep the name of the command on the command line, as if the others stood beside it."""


@alone.command()
def healthcheck(
    url: Annotated[str, typer.Option(help="Address of the server.")] = url_of(HOST, PORT),
    seconds: Annotated[
        float, typer.Option(min=0.1, max=60, help="How long to wait for an answer.")
    ] = SECONDS,
) -> None:
    """Ask a server whether it is ready: ends with 0 if it is, with 1 if not."""
    fault = asked(url, seconds)
    if fault:
        typer.echo(f"Not ready: {fault}.", err=True)
        raise typer.Exit(NOT_READY)
    typer.echo("Ready.")


def asked(url: str, seconds: float) -> str:
    """Return why a server is not ready; nothing if it is.

    Parameters
    ----------
    url : str
        Address of the server.
    seconds : float
        How long the whole of it may take, looking up the name included [s].
    """
    found = [f"no answer within {seconds:g} s"]
    asking = threading.Thread(target=lambda: found.append(_fault(url, seconds)), daemon=True)
    asking.start()
    asking.join(seconds)  # a server that sends a byte now and then never runs into a socket's limit
    return found[-1]


def _fault(url: str, seconds: float) -> str:
    try:
        parts = urlsplit(url)
        kind = CONNECTIONS.get(parts.scheme)
        if kind is None or not parts.hostname:
            return f"{url} is no address like {url_of(HOST, PORT)}"
        connection = kind(parts.hostname, parts.port, timeout=seconds)
        try:
            connection.request("GET", parts.path.rstrip("/") + READY)
            status = connection.getresponse().status
        finally:
            connection.close()
    except TimeoutError:
        return f"no answer within {seconds:g} s"
    except (OSError, HTTPException, ValueError) as error:
        return str(error).strip().rstrip(".") or type(error).__name__
    return "" if status == 200 else f"it answers {status}"  # noqa: PLR2004 - OK of RFC 9110
