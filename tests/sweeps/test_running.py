"""The same bytes on any executor, in any order, with workers that die, stopped and gone on with."""

import os
import time
import tracemalloc
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from functools import cache
from pathlib import Path

import pytest

from service.sweeps import running
from service.sweeps.chunk import chunks
from service.sweeps.executors import Processes, Serial, executor_of
from service.sweeps.records import CHUNK_ROWS, FarmRow
from service.sweeps.running import run_all
from service.web.reading import scenario_of
from tests.sweeps.farms import (
    ENDS_EVERY_TIME,
    MARK,
    Shelf,
    by_hand,
    read_and_die,
    read_and_die_once,
    read_back,
)

HEAD = "herd.cows.head"


def run(spec, executor, **more):
    shelf = Shelf()
    read = more.pop("read", scenario_of)
    run_all(spec, read, executor, shelf.keep, **more)
    return shelf


@pytest.fixture(scope="module")
def sweep():
    return by_hand(
        *[FarmRow(f"F{number}", {HEAD: 40 + number % 50}) for number in range(1100)],
        vary={"hay.price_per_ton": (80,)},
    )


@pytest.fixture(scope="module")
def serial(sweep):
    return run(sweep, Serial())


@pytest.fixture(scope="module")
def two_processes():
    with executor_of("processes:2") as executor:
        yield executor


def test_two_processes_give_the_same_bytes(sweep, serial, two_processes):
    assert run(sweep, two_processes).digest == serial.digest
    assert serial.csv.count(b"\r\n") == 2200


class LastFirst(Executor):
    """Holds three things to do, and does the last of them before another comes."""

    width = 3

    def __init__(self, count):
        self._to_come = count
        self._held = []

    def submit(self, fn, /, *args, **kwargs):
        """Take one thing more to do."""
        future = Future()
        self._held.append((future, fn, args, kwargs))
        self._to_come -= 1
        if self._to_come == 0:
            while self._held:
                self._work()
        elif len(self._held) == self.width:
            self._work()
        return future

    def _work(self):
        future, fn, args, kwargs = self._held.pop()
        future.set_result(fn(*args, **kwargs))


def test_the_order_in_which_chunks_end_changes_nothing(sweep, serial):
    shelf = run(sweep, LastFirst(len(chunks(sweep))))
    assert next(iter(shelf)) == 3
    assert shelf.digest == serial.digest


def test_no_farms_are_no_work():
    assert run(by_hand(), Serial()) == {}


def test_few_chunks_are_in_flight(sweep):
    class Counting(ThreadPoolExecutor):
        width = 2
        now = most = 0

        def submit(self, fn, /, *args, **kwargs):
            self.now += 1
            self.most = max(self.most, self.now)
            return super().submit(fn, *args, **kwargs)

    with Counting(4) as executor:
        shelf = Shelf()

        def keep(number, result):
            executor.now -= 1
            shelf.keep(number, result)

        run_all(sweep, scenario_of, executor, keep)
    assert executor.most == 2
    assert len(shelf) == 5


@pytest.mark.slow
def test_a_process_that_is_killed_costs_no_row(tmp_path, monkeypatch):
    monkeypatch.setenv(MARK, str(tmp_path / "died"))
    spec = by_hand(*[FarmRow(str(head), {HEAD: 40 + head % 50}) for head in range(1000)])
    with executor_of("processes:2") as executor:
        shelf = run(spec, executor, read=read_and_die_once)
    assert (tmp_path / "died").exists()
    assert shelf.digest == run(spec, Serial()).digest


@pytest.mark.slow
def test_a_chunk_that_always_ends_its_process_is_told_to_have_failed_alone():
    farms = [FarmRow(str(number), {HEAD: 40}) for number in range(700)]
    farms[300] = FarmRow("300", {HEAD: ENDS_EVERY_TIME})
    spec = by_hand(*farms)
    with executor_of("processes:2") as executor:
        shelf = run(spec, executor, read=read_and_die)
    failed = {number: result.failed for number, result in shelf.items()}
    assert failed == {1: 0, 2: 250, 3: 0}
    assert {row["status"] for row in read_back(spec, shelf[2].csv)} == {"failed"}


def test_a_chunk_that_breaks_down_is_tried_three_times(monkeypatch):
    tried = []

    def worked(*_):
        tried.append(1)
        raise MemoryError

    monkeypatch.setattr(running, "run_chunk", worked)
    shelf = run(by_hand(FarmRow()), Serial())
    assert len(tried) == 3
    assert (shelf[1].rows, shelf[1].failed) == (1, 1)


def test_an_executor_that_is_lost_ends_the_run_and_not_the_farms(sweep):
    class Lost(Executor):
        def submit(self, fn, /, *args, **kwargs):  # noqa: ARG002 - as the class above has it
            future = Future()
            future.set_exception(ConnectionError("gone"))
            return future

    shelf = Shelf()
    with pytest.raises(ConnectionError):
        run_all(sweep, scenario_of, Lost(), shelf.keep)
    assert shelf == {}


def test_what_cannot_be_kept_ends_the_run(sweep):
    def keep(number, result):
        raise OSError(number, len(result.csv))

    with pytest.raises(OSError, match="1"):
        run_all(sweep, scenario_of, Serial(), keep)


@pytest.mark.parametrize("kind", ["serial", "processes"])
def test_a_sweep_that_is_stopped_goes_on_where_it_was(sweep, serial, two_processes, kind):
    executor = two_processes if kind == "processes" else Serial()
    shelf = Shelf()
    run_all(sweep, scenario_of, executor, shelf.keep, stopping=lambda: len(shelf) >= 2)
    before = dict(shelf)
    assert 2 <= len(before) < len(chunks(sweep))
    again = Shelf()
    run_all(sweep, scenario_of, executor, again.keep, done=set(before))
    assert before.keys() | again.keys() == serial.keys()
    assert before.keys() & again.keys() == set()
    assert Shelf({**before, **again}).digest == serial.digest


def reads_slowly(document):
    """Read a document in 0.05 s, so that a chunk takes 12.5 s, and note that it was read."""
    with Path(os.environ[MARK]).open("a") as mark:
        mark.write("read\n")
    time.sleep(0.05)
    return scenario_of(document)


@pytest.mark.parametrize("kind", ["serial", "processes"])
def test_it_stops_in_the_middle_of_a_chunk_that_takes_long(sweep, tmp_path, monkeypatch, kind):
    mark = tmp_path / "read"
    monkeypatch.setenv(MARK, str(mark))
    executor = executor_of("serial" if kind == "serial" else "processes:1")
    shelf = Shelf()
    run_all(sweep, reads_slowly, executor, shelf.keep, stopping=mark.exists)
    executor.shutdown(cancel_futures=True)
    # a chunk of 250 rows that was waited for would have been kept, and read to its end
    assert shelf == {}
    assert 1 <= mark.read_text().count("read") < CHUNK_ROWS


@cache
def farm_of(head):
    return scenario_of(by_hand().document | {"herd": hand_herd(head)})


def hand_herd(head):
    herd = by_hand().document["herd"]
    return {"cows": {**herd["cows"], "head": head}}


def read_before(document):
    """Return what was read of such a farm before: tracing memory makes reading slow."""
    return farm_of(document["herd"]["cows"]["head"])


def test_memory_does_not_grow_with_the_farms():
    def peak(farms):
        spec = by_hand(*[FarmRow(None, {HEAD: 40 + number % 50}) for number in range(farms)])
        sizes = []
        tracemalloc.start()
        try:
            run_all(spec, read_before, Serial(), lambda _, result: sizes.append(result.rows))
            return tracemalloc.get_traced_memory()[1], sum(sizes)
        finally:
            tracemalloc.stop()

    peak(250)
    (small, few), (large, many) = peak(1000), peak(5000)
    assert (few, many) == (2000, 10_000)  # of two systems
    assert large < 1.25 * small


@pytest.mark.parametrize(
    ("name", "kind"), [("serial", Serial), ("processes", Processes), ("processes:3", Processes)]
)
def test_executors_go_by_name(name, kind):
    with executor_of(name) as executor:
        assert isinstance(executor, kind)


@pytest.mark.parametrize(
    "name", ["", "threads", "processes:0", "processes:x", "dask://", "serial "]
)
def test_an_unknown_name_is_told_with_those_that_there_are(name):
    with pytest.raises(ValueError, match="processes:2"):
        executor_of(name)
