"""What the tests of the command line share."""

import pytest

from tests.support.installation import installation


@pytest.fixture(autouse=True)
def data(tmp_path, monkeypatch):
    """Keep every command away from the data of whoever runs the tests; return where they lie."""
    folder = tmp_path / "data"
    monkeypatch.setenv("WINTERGROUND_DATA", str(folder))
    for name in ("DATABASE", "PEPPERS", "PUBLIC_URL", "OPEN_COSTING", "THREADS"):
        monkeypatch.delenv(f"WINTERGROUND_{name}", raising=False)
    for name in ("LOG_LEVEL", "LOG_FORMAT", "METRICS"):
        monkeypatch.delenv(f"WINTERGROUND_{name}", raising=False)
    monkeypatch.setenv("WINTERGROUND_SECONDS_TO_STOP", "1")  # no proxy is to be told here
    return folder


@pytest.fixture
def settings(data):
    return installation(data)
