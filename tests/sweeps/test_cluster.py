"""A Dask cluster gives the same bytes, with a worker killed too; one that is not there is told."""

import subprocess
import sys

import pytest

from service.sweeps.executors import Serial, executor_of
from service.sweeps.records import FarmRow
from service.sweeps.running import run_all
from service.web.reading import scenario_of
from tests.sweeps.farms import MARK, Shelf, by_hand, demo_sweep, read_and_die_once

distributed = pytest.importorskip("distributed", reason="Dask is an extra: winterground[cluster]")

HEAD = "herd.cows.head"
pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore"),  # of Dask and what it brings
]


@pytest.fixture
def address(tmp_path, monkeypatch):
    """Start a scheduler and two workers; return the address as the setting has it."""
    monkeypatch.setenv(MARK, str(tmp_path / "died"))
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        dashboard_address=None,
        local_directory=str(tmp_path),
    ) as cluster:
        yield cluster.scheduler_address.replace("tcp://", "dask://")


def run(spec, executor, read=scenario_of):
    shelf = Shelf()
    run_all(spec, read, executor, shelf.keep)
    return shelf


def test_a_cluster_gives_the_same_bytes(address):
    spec = demo_sweep(600)
    with executor_of(address) as executor:
        found = run(spec, executor)
        assert executor.width == 4
    assert found.digest == run(spec, Serial()).digest


def test_a_worker_that_is_killed_costs_no_row(address, tmp_path):
    spec = by_hand(*[FarmRow(str(number), {HEAD: 40 + number % 50}) for number in range(1000)])
    with executor_of(address) as executor:
        found = run(spec, executor, read_and_die_once)
    assert (tmp_path / "died").exists()
    assert found.digest == run(spec, Serial()).digest


def test_a_cluster_that_is_not_there_is_told():
    distributed_waits = {"distributed.comm.timeouts.connect": "1s"}
    from dask import config  # noqa: PLC0415 - an extra

    with config.set(distributed_waits), pytest.raises(ConnectionError, match="127"):
        executor_of("dask://127.0.0.1:9")


def test_nothing_but_a_cluster_imports_dask():
    program = (
        "import sys, service.sweeps.executors, service.sweeps.running\n"
        "service.sweeps.executors.executor_of('serial')\n"
        "sys.exit('distributed' in sys.modules)"
    )
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", program], check=False
    )
    assert done.returncode == 0
