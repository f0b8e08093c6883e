"""The executors that chunks can run on: this process, processes beside it, or a cluster."""

import multiprocessing
import os
import re
import signal
import threading
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from multiprocessing.synchronize import Event
from typing import Any, ParamSpec, TypeVar

import numpy as np

from service.sweeps.records import CHUNKS_PER_WORKER
from service.sweeps.stopping import heed

P = ParamSpec("P")
T = TypeVar("T")

SERIAL = "serial"
PROCESSES = re.compile(r"processes(?::([1-9][0-9]{0,2}))?")
CLUSTER = "dask://"
KINDS = f"{SERIAL}, processes, processes:2 (so many), or {CLUSTER}host:8786"


BLOCK = 4_000_000
"""Floats of a block that is taken and given back once: the C library then keeps what the arrays of
later work leave, instead of handing it back to the system each time."""


class Serial(Executor):
    """Does the work at once, in the thread that asks for it."""

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Do the work; return a future that is done."""
        future: Future[T] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:  # noqa: BLE001 - the future carries whatever it is
            future.set_exception(error)
        return future


class Processes(Executor):
    """Processes of this machine; one that dies is replaced.

    The pool is started anew where a process died; the work that was in it fails, and is for the
    caller to send again.
    """

    def __init__(self, count: int, prepare: Callable[[], None] | None = None) -> None:
        self.width = count * CHUNKS_PER_WORKER
        self._count = count
        self._prepare = prepare
        self._context = multiprocessing.get_context("spawn")
        self._leaving = self._context.Event()
        self._lock = threading.Lock()
        self._pool = self._started()

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Hand the work to a process."""
        with self._lock:
            try:
                return self._pool.submit(fn, *args, **kwargs)
            except BrokenExecutor:
                self._pool.shutdown(wait=False)
                self._pool = self._started()
                return self._pool.submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: FBT001, FBT002 - as the class above has it
        """End the processes; chunks that are being worked are left off if futures are cancelled."""
        if cancel_futures:
            self._leaving.set()
        self._pool.shutdown(wait=wait, cancel_futures=cancel_futures)

    def _started(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            self._count,
            mp_context=self._context,
            initializer=_begin,
            initargs=(self._leaving, self._prepare),
        )


def executor_of(name: str, prepare: Callable[[], None] | None = None) -> Executor:
    """Return the executor of a name; close it by ``with`` or ``shutdown``.

    Parameters
    ----------
    name : str
        ``serial``, ``processes`` (one for each core), ``processes:2``, or ``dask://host:8786``, the
        scheduler of a Dask cluster.
    prepare : callable, optional
        Done once in each process before its first chunk, so that none waits for imports. A cluster
        has started its workers itself and does not do it.

    Raises
    ------
    ValueError
        If there is none of that name.
    """
    if name == SERIAL:
        return Serial()
    if found := PROCESSES.fullmatch(name):
        return Processes(int(found[1] or os.cpu_count() or 1), prepare)
    if name.startswith(CLUSTER) and name != CLUSTER:
        from service.sweeps.cluster import cluster_executor  # noqa: PLC0415 - an extra

        return cluster_executor(name.removeprefix(CLUSTER))
    message = f"there is no executor {name!r}; there are {KINDS}"
    raise ValueError(message)


def width_of(executor: Executor) -> int:
    """Return how many chunks an executor is sent at once."""
    width: Any = getattr(executor, "width", 1)
    return max(1, int(width))


def _begin(leaving: Event, prepare: Callable[[], None] | None) -> None:
    """Start a process: leave interrupts to the parent, and end when it has ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    heed(leaving)
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    np.empty(BLOCK)
    if prepare is not None:
        prepare()


def _leave_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
