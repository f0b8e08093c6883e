"""The application as a process of its own makes it, from the environment alone.

For several processes at once: ``uvicorn --factory service.web.serving:application``. None of them
changes the schema of the database.
"""

import logging

from fastapi import FastAPI

from service.scenarios.desk import Desk
from service.settings import Settings
from service.store.opening import open_desk
from service.store.upgrading import required
from service.web.app import create_app
from service.web.doorway import Doorway
from service.web.facts_reading import facts_of
from service.web.observing.metrics import Meters
from service.web.observing.metrics_server import MetricsServer
from service.web.reading import scenario_of
from service.web.stopping import Stopping, seconds_of_notice

MOST_PROCESSES = 64


def application() -> FastAPI:
    """Return the application of an installation.

    Documents are costed without a key only if the settings say so: a process of its own does not
    know who reaches it.

    Raises
    ------
    OperatorError
        If the database is not there, not at the schema of the program, or cannot be used.
    """
    # A server that was started otherwise would write addresses as they were sent, tokens too.
    logging.getLogger("uvicorn.access").disabled = True
    settings = Settings()
    required(settings)
    desk = open_desk(settings, scenario_of, facts_of)
    open_costing = bool(settings.open_costing)
    return application_of(settings, desk, open_costing=open_costing, processes=MOST_PROCESSES)


def application_of(
    settings: Settings, desk: Desk, *, open_costing: bool, processes: int = 1
) -> FastAPI:
    """Return the application as the settings have it.

    Parameters
    ----------
    settings : Settings
        Of the installation.
    desk : Desk
        Where scenarios are kept.
    open_costing : bool
        Whether a document is costed for whoever sends it, without a key.
    processes : int
        How many may serve the same installation on this machine, each with figures of its own.

    Raises
    ------
    NoMetricsError
        If figures of operation are asked for and cannot be given.
    """
    app = create_app(
        desk,
        open_costing=open_costing,
        public_url=settings.public_url,
        threads=settings.threads,
        analysis_workers=settings.analysis_workers,
        doorway=Doorway.of(settings),
    )
    app.state.stopping = Stopping(seconds_of_notice(settings.seconds_to_stop))
    if settings.metrics is not None:
        app.state.meters = Meters(app.state.in_flight, desk)
        app.state.metrics_server = MetricsServer(settings.metrics, app.state.meters, processes)
    return app
