"""serve: the database made ready once, then the server, in this process or in several."""

import os
import signal
import sys
import threading
from collections.abc import Generator, Mapping
from contextlib import contextmanager
from functools import partial
from types import FrameType
from typing import Annotated, Any

import typer

from service.cli.options import (
    HOST,
    PORT,
    Data,
    DatabaseAddress,
    Host,
    Port,
    as_typed,
    is_loopback,
    settings_of,
    url_of,
)
from service.cli.terminal import FAULTY, refusing, say
from service.costing.result import ENGINE_VERSION
from service.scenarios.clock import ClockWatch, utc_now
from service.scenarios.desk import Desk
from service.settings import PREFIX, Settings
from service.store.errors import SchemaBehindError
from service.web.facts_reading import facts_of
from service.web.reading import scenario_of
from service.web.stopping import seconds_to_finish

TERMINATED = 128 + signal.SIGTERM
MOST_WORKERS = 64
SECONDS_BETWEEN_LOOKS = 86_400
SECONDS_FOR_A_SIGN = 30
"""How long a process may give no sign of life before another takes its place. On a busy machine
one that starts takes longer than the server's own five, and would be ended again and again."""


def serve(
    host: Host = HOST,
    port: Port = PORT,
    data: Data = None,
    database: DatabaseAddress = None,
    workers: Annotated[
        int, typer.Option(min=1, max=MOST_WORKERS, help="Processes that answer.")
    ] = 1,
    *,
    migrate: Annotated[
        bool, typer.Option("--migrate", help="Upgrade a PostgreSQL database first.")
    ] = False,
) -> None:
    """Start the server."""
    with refusing():
        settings = settings_of(data, database)
        ready(settings, data, database, migrate=migrate)
        desk = opened(settings)
        try:
            _refuse_open_door(desk, host, as_typed("key create", data, database))
            if workers == 1:
                with _backups_forgotten(settings):
                    run(desk, settings, host, port)
        finally:
            closed(desk)
    if workers > 1:
        with _backups_forgotten(settings):
            _run_several(settings, host, port, workers)


def ready(
    settings: Settings, data: Data, database: DatabaseAddress, *, migrate: bool = False
) -> None:
    """Make the database ready to be used, and say what was done to it.

    Raises
    ------
    OperatorError
        If it cannot be made ready.
    Exit
        If it must be upgraded first, with the command that does it.
    """
    from service.store.upgrading import prepare  # noqa: PLC0415 - costing needs no database

    try:
        done = prepare(settings, migrate=migrate)
    except SchemaBehindError as error:
        first = "Make its tables" if error.current is None else "Back it up, then upgrade it"
        say(f"{error} {first}: {as_typed('db upgrade', data, database)}")
        say(f"Or do that and start at once: {as_typed('serve --migrate', data, database)}")
        raise typer.Exit(FAULTY) from None
    if done.backup is not None:
        say(f"Upgraded the database from schema {done.before} to {done.now}.")
        say(f"As it was before: {done.backup}")


def opened(settings: Settings) -> Desk:
    """Return a desk at the database."""
    from service.store.opening import open_desk  # noqa: PLC0415 - costing needs no database

    return open_desk(settings, scenario_of, facts_of)


def closed(desk: Desk) -> None:
    """Let go of the database."""
    from service.store.opening import close_desk  # noqa: PLC0415 - costing needs no database

    close_desk(desk)


def run(desk: Desk, settings: Settings, host: str, port: int) -> None:
    """Answer requests in this process until it is told to end."""
    import uvicorn  # noqa: PLC0415 - most commands do without

    from service.web.serving import application_of  # noqa: PLC0415 - building it takes time

    app = application_of(settings, desk, open_costing=costs_for_all(settings, host))
    say(f"Winterground {ENGINE_VERSION}: {url_of(host, port)}/docs")
    try:
        with ended_by_signal():
            uvicorn.run(app, host=host, port=port, **_ways(settings))
    except SystemExit as end:
        if end.code != TERMINATED or not app.state.stopping.told:
            raise  # not ended in good order, as it was told to


def _ways(settings: Settings) -> dict[str, Any]:
    """Return how the server logs and stops, as uvicorn takes it."""
    from service.web.connections import PatientConnection  # noqa: PLC0415 - only a server has them
    from service.web.observing.log_format import log_config  # noqa: PLC0415 - only a server logs

    return {
        "http": partial(PatientConnection, seconds=settings.seconds_to_arrive),
        "ws": "none",
        "log_config": log_config(settings.log_level, settings.log_format),
        "log_level": None,
        "access_log": False,
        "proxy_headers": False,  # those of trusted proxies alone are read, by the application
        "timeout_graceful_shutdown": seconds_to_finish(settings.seconds_to_stop),
    }


def costs_for_all(settings: Settings, host: str) -> bool:
    """Whether documents are costed without a key: as set, else on loopback alone."""
    return is_loopback(host) if settings.open_costing is None else settings.open_costing


@contextmanager
def ended_by_signal() -> Generator[None]:
    """Let a signal to end unwind what is open, instead of ending the process where it is."""
    before = signal.signal(signal.SIGTERM, _end)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _end(_number: int, _frame: FrameType | None) -> None:
    sys.exit(TERMINATED)


@contextmanager
def _backups_forgotten(settings: Settings) -> Generator[None]:
    """Delete backups that are too old once a day: what was erased must leave them in time."""
    from service.store.backup_files import pruned  # noqa: PLC0415 - costing needs no database

    ended = threading.Event()
    watch = ClockWatch(utc_now)

    def daily() -> None:
        while not ended.wait(SECONDS_BETWEEN_LOOKS):
            if watch.may_erase():
                pruned(settings.backups)

    thread = threading.Thread(target=daily, daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def _refuse_open_door(desk: Desk, host: str, command: str) -> None:
    """Refuse to listen where others can reach it while nobody has a key.

    Raises
    ------
    Exit
        If it is so.
    """
    if is_loopback(host):
        return
    with desk.store.reading() as session:
        guarded = session.credentials.any_live_key(desk.now())
    if not guarded:
        say(f"{host} can be reached from other machines, and there is no key yet. Make one first:")
        say(f"{command} --office NAME --access admin --label TEXT")
        raise typer.Exit(FAULTY)


def _run_several(settings: Settings, host: str, port: int, workers: int) -> None:
    from uvicorn import Config  # noqa: PLC0415 - most commands do without
    from uvicorn.supervisors import Multiprocess  # noqa: PLC0415

    class Parent(Multiprocess):
        def terminate_all(self) -> None:
            """Listen no more: what its children refuse must not wait for nobody."""
            super().terminate_all()
            for listening in self.sockets:
                listening.close()

    from service.web.observing.metrics import refuse_without_extra  # noqa: PLC0415 - an extra

    if settings.metrics is not None:
        with refusing():
            refuse_without_extra()
    say(f"Winterground {ENGINE_VERSION}: {url_of(host, port)}/docs ({workers} processes)")
    with _environment(
        {
            "DATA": str(settings.data),
            "DATABASE": settings.database.get_secret_value() if settings.database else "",
            "OPEN_COSTING": str(costs_for_all(settings, host)).lower(),
        }
    ):
        config = Config(
            "service.web.serving:application",
            factory=True,
            host=host,
            port=port,
            workers=workers,
            timeout_worker_healthcheck=SECONDS_FOR_A_SIGN,
            **_ways(settings),
        )
        Parent(config, [config.bind_socket()]).run()


@contextmanager
def _environment(settings: Mapping[str, str]) -> Generator[None]:
    """Hand settings to processes that are started meanwhile."""
    before = dict(os.environ)
    os.environ.update({PREFIX + name: value for name, value in settings.items()})
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)
