"""Starting the server: what is made ready, what is refused, and what answers then."""

import re
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
from typer.testing import CliRunner

from service.cli import serving
from service.cli.commands import app
from service.cli.options import as_typed, is_loopback, url_of
from service.settings import Settings
from service.store.errors import NoDatabaseError
from service.store.upgrading import upgrade
from service.web.serving import application
from tests.support.installation import installation, newer_program, stocked

run = CliRunner().invoke
SECONDS_TO_START = 60


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@contextmanager
def running(*command, port):
    """Start the program and wait until it answers; end it as an operator does."""
    program = subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "service", *command, "--port", str(port)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        wait_for(f"http://127.0.0.1:{port}/health/live", program)
        yield program
    finally:
        if program.poll() is None:
            program.send_signal(signal.SIGTERM)
        program.said = program.communicate(timeout=SECONDS_TO_START)


def wait_for(address, program):
    deadline = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < deadline:
        assert program.poll() is None, program.communicate()
        try:
            httpx.get(address, timeout=2)
        except httpx.TransportError:
            time.sleep(0.05)
        else:
            return
    pytest.fail("the server did not answer")


def test_the_demo_prints_a_link_and_a_key_that_work_and_leaves_nothing_behind(
    data, tmp_path, monkeypatch
):
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    port = free_port()
    with running("demo", port=port) as program:
        printed = []
        while not printed or "The demo farm:" not in printed[-1]:
            printed.append(program.stdout.readline())
        text = "".join(printed)
        [link] = re.findall(r"http://127\.0\.0\.1:\d+/s/wfr_\w+", text)
        [curl] = re.findall(r"curl -H '(Authorization: Bearer wfk_\w+)' (\S+)", text)
        assert httpx.get(link).status_code == 200
        name, _, value = curl[0].partition(": ")
        listed = httpx.get(curl[1], headers={name: value}).json()["items"]
        assert len(listed) == 2
        assert any(item["origin"] for item in listed)
        assert list(tmp_path.glob("winterground-demo-*"))
    assert not list(tmp_path.glob("winterground-demo-*"))
    assert not data.exists()


def test_a_server_makes_its_database_and_says_where_its_documentation_is(settings):
    port = free_port()
    with running("serve", port=port) as program:
        assert settings.sqlite_file.exists()
        assert httpx.get(f"http://127.0.0.1:{port}/v1/scenarios").status_code == 401
    assert f"http://127.0.0.1:{port}/docs" in program.said[1]


def test_backups_are_forgotten_while_a_server_runs(settings, monkeypatch):
    monkeypatch.setattr(serving, "SECONDS_BETWEEN_LOOKS", 0.01)
    settings.backups.mkdir(parents=True)
    old = settings.backups / "backup-20010203T040506000000Z.sqlite"
    old.touch()
    with serving._backups_forgotten(settings):  # noqa: SLF001 - the server would run for a day
        deadline = time.monotonic() + SECONDS_TO_START
        while old.exists():
            assert time.monotonic() < deadline
            time.sleep(0.01)


def test_several_processes_answer_from_one_database(settings):
    stock = stocked(settings)
    port = free_port()
    address = f"http://127.0.0.1:{port}/v1/scenarios/{stock.scenarios[0]}"
    with running("serve", "--workers", "2", port=port):
        for _ in range(10):
            answer = httpx.get(address, headers={"Authorization": f"Bearer {stock.admin}"})
            assert answer.json()["document"]["name"] == "Larkspur Bottom"


def test_a_server_that_others_can_reach_is_not_started_before_there_is_a_key():
    result = run(app, ["serve", "--host", "0.0.0.0"])  # noqa: S104 - it is refused
    assert result.exit_code == 2
    assert "winterground key create --office" in result.stderr
    assert "--access admin" in result.stderr


def test_a_revoked_key_does_not_count(settings):
    stock = stocked(settings)
    run(app, ["key", "revoke", stock.other_key_id])
    first = re.search(r"ky_\w+", run(app, ["key", "list"], env={"COLUMNS": "200"}).stdout)
    run(app, ["key", "revoke", first[0]])
    assert run(app, ["serve", "--host", "::"]).exit_code == 2


def test_an_older_shared_database_is_refused_with_the_command_that_upgrades_it(
    tmp_path, postgresql, monkeypatch
):
    with postgresql.new(empty=True) as address:
        folder = str(tmp_path / "my data")
        result = run(app, ["serve", "--data", folder, "--database", address])
        assert result.exit_code == 2
        assert f"winterground db upgrade --data '{folder}' --database ADDRESS" in result.stderr
        assert f"winterground serve --migrate --data '{folder}'" in result.stderr
        monkeypatch.setenv("WINTERGROUND_DATABASE", address)
        result = run(app, ["key", "list"])
        assert result.exit_code == 2
        assert result.stderr.endswith("winterground serve --migrate\n")


def test_a_process_of_its_own_takes_everything_from_the_environment(settings):
    upgrade(settings)
    made = application()
    assert made.state.desk is not None
    assert made.state.open_costing is False
    made.state.desk.store.close()


def test_a_process_of_its_own_changes_no_schema(settings, tmp_path, monkeypatch):
    with pytest.raises(NoDatabaseError):
        application()
    assert not settings.sqlite_file.exists()
    upgrade(settings)
    newer_program(monkeypatch, tmp_path)
    with pytest.raises(Exception, match="needs schema 9999"):
        application()


@pytest.mark.parametrize(
    ("host", "is_one"),
    [
        # RFC 6890, tables 4 and 17: 127.0.0.0/8 and ::1 are loopback
        ("127.0.0.1", True),
        ("127.255.255.254", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),  # noqa: S104 - compared only
        ("128.0.0.1", False),
        ("::", False),
        ("10.0.0.5", False),
        ("farm.example.org", False),
        ("", False),
    ],
)
def test_what_only_this_machine_reaches(host, is_one):
    assert is_loopback(host) is is_one


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://127.0.0.1:80"),
        ("0.0.0.0", "http://127.0.0.1:80"),  # noqa: S104 - shown only
        ("::", "http://[::1]:80"),  # RFC 3986, 3.2.2: an IPv6 address stands in brackets
        ("::1", "http://[::1]:80"),
        ("farm.example.org", "http://farm.example.org:80"),
    ],
)
def test_where_a_server_is_reached(host, address):
    assert url_of(host, 80) == address


def test_a_command_is_repeated_without_an_address_that_may_hold_a_password():
    assert as_typed("db upgrade", None, None) == "winterground db upgrade"
    assert as_typed("serve", Path("a b"), "postgresql://x:hush@y/z") == (
        "winterground serve --data 'a b' --database ADDRESS"
    )


def test_settings_do_not_touch_the_folder_of_the_user(data):
    assert Settings().data == data
    assert installation(data).data == data
