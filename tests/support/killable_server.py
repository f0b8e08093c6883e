"""A server that can be killed and started again in a moment: forked from a process that is warm.

The listening socket belongs to the parent, so that callers wait while there is no server. Run as
``python -m tests.support.killable_server FOLDER [LEASE]``; prints its port, then obeys ``start``
and ``kill``, one a line. With a lease [s] questions that take long are worked on, and taken over
that long after their worker died.
"""

import os
import signal
import socket
import sys
from datetime import timedelta

import uvicorn
from fastapi import FastAPI

from service.scenarios import working
from service.settings import Settings
from service.store.opening import open_desk
from service.web.app import create_app
from service.web.reading import prepare, scenario_of
from service.web.workers import Workers

BACKLOG = 128


def serve(app: FastAPI, listening: socket.socket, settings: Settings, workers: int) -> None:
    """Serve until killed."""
    app.state.desk = open_desk(settings, scenario_of)
    app.state.workers = Workers(app.state.desk, workers)
    uvicorn.Server(uvicorn.Config(app, log_level="critical", access_log=False)).run([listening])


def main() -> None:
    """Obey the lines that come in."""
    folder, *lease = sys.argv[1:]
    settings = Settings(data=folder)
    if lease:
        working.LEASE = timedelta(seconds=float(lease[0]))
    prepare()
    app = create_app()
    with socket.create_server(("127.0.0.1", 0), backlog=BACKLOG) as listening:
        _say(str(listening.getsockname()[1]))
        child = 0
        for line in sys.stdin:
            if line.strip() == "start":
                child = os.fork()
                if child == 0:
                    serve(app, listening, settings, len(lease))
                    os._exit(0)
            else:
                _kill(child)
            _say("done")
        _kill(child)  # whoever gave the orders is gone


def _kill(child: int) -> None:
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def _say(word: str) -> None:
    sys.stdout.write(f"{word}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
