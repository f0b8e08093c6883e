"""A Dask cluster that runs already, as an executor; the only module that imports Dask."""

from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future
from typing import Any, ParamSpec, TypeVar

from service.sweeps.records import CHUNKS_PER_WORKER

P = ParamSpec("P")
T = TypeVar("T")

NOT_INSTALLED = "a cluster needs Dask distributed; install winterground[cluster]"
NO_ANSWER = "no Dask scheduler answers at {address}"


class Cluster(Executor):
    """The workers of a scheduler; a chunk whose worker is lost is sent to another."""

    def __init__(self, client: Any) -> None:  # noqa: ANN401 - Dask is an extra
        self._client = client
        self._executor = client.get_executor(pure=False)

    @property
    def width(self) -> int:
        """Chunks in flight at once, for all threads of all workers there are now."""
        return CHUNKS_PER_WORKER * max(1, sum(self._client.nthreads().values()))

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Hand the work to the scheduler."""
        sent: Future[T] = self._executor.submit(fn, *args, **kwargs)
        answer: Future[T] = Future()
        answer.add_done_callback(lambda asked: sent.cancel() if asked.cancelled() else None)
        sent.add_done_callback(lambda done: _passed_on(done, answer))
        return answer

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: FBT001, FBT002 - as the class above has it
        """Leave the cluster, which goes on without us."""
        self._executor.shutdown(wait=wait and not cancel_futures)
        self._client.close()


def cluster_executor(address: str) -> Cluster:
    """Return the cluster whose scheduler listens at an address.

    Parameters
    ----------
    address : str
        Host and port.

    Raises
    ------
    ValueError
        If Dask is not installed.
    ConnectionError
        If no scheduler answers.
    """
    try:
        from distributed import Client  # noqa: PLC0415 - an extra
    except ImportError:
        raise ValueError(NOT_INSTALLED) from None
    try:
        client = Client(f"tcp://{address}", set_as_default=False)
    except (OSError, TimeoutError):
        raise ConnectionError(NO_ANSWER.format(address=address)) from None
    return Cluster(client)


def _passed_on(done: Future[T], answer: Future[T]) -> None:
    """Answer as the cluster did; work that took its workers with it broke them."""
    from distributed import KilledWorker  # noqa: PLC0415 - an extra

    if not answer.set_running_or_notify_cancel():
        return
    if done.cancelled():
        answer.set_exception(ConnectionError("the cluster gave the work up"))
        return
    error = done.exception()
    if isinstance(error, KilledWorker):
        answer.set_exception(BrokenExecutor("the work ended its workers"))
    elif error is not None:
        answer.set_exception(error)
    else:
        answer.set_result(done.result())
