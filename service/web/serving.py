"""The application as a process of its own makes it, from the environment alone.

For several processes at once: ``uvicorn --factory service.web.serving:application``. None of them
changes the schema of the database.
"""

from fastapi import FastAPI

from service.settings import Settings
from service.store.opening import open_desk
from service.store.upgrading import required
from service.web.app import create_app
from service.web.facts_reading import facts_of
from service.web.reading import scenario_of


def application() -> FastAPI:
    """Return the application of an installation.

    Documents are costed without a key only if the settings say so: a process of its own does not
    know who reaches it.

    Raises
    ------
    OperatorError
        If the database is not there, not at the schema of the program, or cannot be used.
    """
    settings = Settings()
    required(settings)
    return create_app(
        open_desk(settings, scenario_of, facts_of),
        open_costing=bool(settings.open_costing),
        public_url=settings.public_url,
        threads=settings.threads,
        analysis_workers=settings.analysis_workers,
    )
