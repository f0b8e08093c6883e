"""demo: the invented farm costed, kept in a folder that goes when the server ends, and shared."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

import typer

from service.cli.comparison_table import show_comparison
from service.cli.costed import costed
from service.cli.options import HOST, PORT, Host, Port, url_of
from service.cli.serving import closed, ended_by_signal, opened, ready, run
from service.cli.terminal import out, refusing, say
from service.demo import demo_document
from service.scenarios import keeping
from service.scenarios.access import identified
from service.scenarios.desk import Desk
from service.scenarios.sharing import make_key_on_host, make_link
from service.settings import Settings

OFFICE = "Whetstone Hollow demo office"
WHAT_IF = {"hay.price_per_ton": 131}
DAYS = 1


def demo(
    host: Host = HOST,
    port: Port = PORT,
    *,
    once: Annotated[bool, typer.Option("--once", help="End after the table.")] = False,
) -> None:
    """Cost the demo farm (invented), print the comparison, then start the server."""
    document = demo_document()
    show_comparison(out(), costed(document))
    if once:
        return
    with ended_by_signal(), TemporaryDirectory(prefix="winterground-demo-") as folder, refusing():
        settings = throw_away(Path(folder))
        ready(settings, None, None)
        desk = opened(settings)
        try:
            scenario, key, link = stocked(desk)
            server = url_of(host, port)
            typer.echo(f"\nThe page a farmer opens (1 day):  {server}/s/{link}")
            typer.echo(f"The office's key (1 day):         {key}")
            typer.echo(
                f"Its scenarios:  curl -H 'Authorization: Bearer {key}' {server}/v1/scenarios"
            )
            typer.echo(f"The demo farm:  {server}/v1/scenarios/{scenario}")
            say("All of it goes when the server ends: Ctrl-C.")
            run(desk, settings, host, port)
        finally:
            closed(desk)


def throw_away(folder: Path) -> Settings:
    """Return settings of an installation in a folder, whatever the environment says."""
    return Settings(
        data=folder,
        database=None,
        peppers=None,
        public_url=None,
        open_costing=None,
        log_level="warning",
        metrics=None,
        seconds_to_stop=1,
    )


def stocked(desk: Desk) -> tuple[str, str, str]:
    """Keep the demo farm and a what-if copy of it.

    Returns
    -------
    tuple of str
        The scenario's id, the token of an office key, the token of a link that reads it.
    """
    _, _, key = make_key_on_host(desk, OFFICE, "admin", "Demo", DAYS)
    with desk.store.reading() as session:
        caller, _ = identified(session, desk, key)
    kept = keeping.create(desk, caller, demo_document(), remark="As the farm stands")
    name = f"{kept.head.name}, hay at {WHAT_IF['hay.price_per_ton']}"
    keeping.copy(desk, caller, kept.head.id, None, WHAT_IF, name, None)
    _, link = make_link(desk, caller, kept.head.id, "read", "Kitchen table", DAYS)
    return kept.head.id, key, link
