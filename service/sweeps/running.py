"""All chunks of a sweep, on any executor: a few in flight, each kept as it is done."""

from collections import Counter, deque
from collections.abc import Callable, Collection
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass, field
from time import monotonic

from service.sweeps.chunk import Read, chunk_payload, chunks, failed_chunk, run_chunk
from service.sweeps.executors import Serial, width_of
from service.sweeps.records import ChunkResult, SweepSpec
from service.sweeps.stopping import StoppedError

ATTEMPTS = 3
"""So often a chunk is tried; then its rows are told to have failed."""

SECONDS_BETWEEN_LOOKS = 0.2
"""How soon it is seen that a sweep is to stop."""

Keep = Callable[[int, ChunkResult], None]
Stopping = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class _BrokeDown:
    """What a worker answers with where the work itself went wrong."""

    stopped: bool


class _Asked:
    """Asks whether to stop, but not again at once: the answer may take a query."""

    def __init__(self, stopping: Stopping) -> None:
        self._stopping = stopping
        self._answer = False
        self._next = 0.0

    def __call__(self) -> bool:
        now = monotonic()
        if not self._answer and now >= self._next:
            self._answer = self._stopping()
            self._next = now + SECONDS_BETWEEN_LOOKS
        return self._answer


@dataclass
class _Desk:
    """What is to be done, what is being done, and what went wrong before."""

    spec: SweepSpec
    read: Read
    executor: Executor
    stopping: Stopping
    to_do: deque[int]
    suspects: deque[int] = field(default_factory=deque[int])
    """Chunks that were in a worker which died. They are sent one at a time, nothing else beside
    them, so that the one at fault takes no other with it."""
    failures: Counter[int] = field(default_factory=Counter[int])
    in_flight: dict[Future[ChunkResult | _BrokeDown], int] = field(
        default_factory=dict[Future[ChunkResult | _BrokeDown], int]
    )

    @property
    def busy(self) -> bool:
        """Whether anything is left."""
        return bool(self.to_do or self.suspects or self.in_flight)

    def send(self) -> None:
        """Send chunks until as many are in flight as may be."""
        if self.suspects:
            if not self.in_flight:
                self._submit(self.suspects.popleft())
            return
        width = width_of(self.executor)
        while self.to_do and len(self.in_flight) < width and not self.stopping():
            self._submit(self.to_do.popleft())

    def _submit(self, number: int) -> None:
        payload = chunk_payload(self.spec, number)
        if isinstance(self.executor, Serial):
            future = self.executor.submit(_worked, payload, self.read, self.stopping)
        else:
            future = self.executor.submit(_worked, payload, self.read)
        self.in_flight[future] = number

    def receive(self, future: Future[ChunkResult | _BrokeDown], keep: Keep) -> None:
        """Keep what came of a chunk, or note that it has to be sent again."""
        number = self.in_flight.pop(future)
        try:
            answer = future.result()
        except BrokenExecutor:
            self._failed(number, self.suspects, keep)
            return
        if isinstance(answer, ChunkResult):
            keep(number, answer)
        elif answer.stopped:
            self.to_do.append(number)
        else:
            self._failed(number, self.to_do, keep)

    def _failed(self, number: int, queue: deque[int], keep: Keep) -> None:
        self.failures[number] += 1
        if self.failures[number] < ATTEMPTS:
            queue.append(number)
        else:
            keep(number, failed_chunk(chunk_payload(self.spec, number)))


def run_all(
    spec: SweepSpec,
    read: Read,
    executor: Executor,
    keep: Keep,
    done: Collection[int] = frozenset(),
    stopping: Stopping = lambda: False,
) -> None:
    """Run the chunks of a sweep that are not done yet.

    A chunk that breaks down three times, or ends its worker as often, is kept as one whose rows
    failed.

    Parameters
    ----------
    spec : SweepSpec
        The sweep.
    read : callable
        Turns a document into a scenario or raises InputError with every fault; other processes must
        be able to import it.
    executor : Executor
        Where chunks run.
    keep : callable
        Stores what came of a chunk, by its number; called in this thread, in any order.
    done : set of int
        Numbers of the chunks that are kept already.
    stopping : callable
        Whether to leave off; asked several times a second. What is done by then is kept, what is
        being worked is given up.

    Raises
    ------
    ConnectionError
        If a cluster can be reached no longer.
    """
    left = deque(chunk.number for chunk in chunks(spec) if chunk.number not in done)
    desk = _Desk(spec, read, executor, _Asked(stopping), left)
    try:
        while desk.busy and not desk.stopping():
            desk.send()
            ready, _ = wait(
                desk.in_flight, timeout=SECONDS_BETWEEN_LOOKS, return_when=FIRST_COMPLETED
            )
            for future in ready:
                desk.receive(future, keep)
        for future in [future for future in desk.in_flight if future.done()]:
            desk.receive(future, keep)
    finally:
        for future in desk.in_flight:
            future.cancel()


def _worked(
    payload: bytes, read: Read, stopping: Stopping | None = None
) -> ChunkResult | _BrokeDown:
    """Do the work of a chunk; what goes wrong in it is no failure of the executor."""
    try:
        return run_chunk(payload, read, stopping)
    except StoppedError:
        return _BrokeDown(stopped=True)
    except Exception:  # noqa: BLE001 - tried again, and then told
        return _BrokeDown(stopped=False)
