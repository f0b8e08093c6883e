"""The secrets that tokens are hashed with: given, made, faulty."""

import logging
import stat
import subprocess
import sys

import pytest
from pydantic import SecretStr

from service.settings import Settings
from service.store.errors import PeppersError
from service.store.pepper_file import are_there, parsed, peppers_of

LONG = "a-secret-of-thirty-two-letters-or-more"
OLDER = "another-secret-of-thirty-two-letters-or-more"


@pytest.fixture
def settings(tmp_path):
    return Settings(data=tmp_path / "data", peppers=None)


def test_given_secrets_are_taken_as_they_are_and_no_file_is_made(settings):
    given = settings.model_copy(update={"peppers": SecretStr(f"2:{LONG}, 1:{OLDER}")})
    peppers = peppers_of(given)
    assert peppers.secrets == {1: OLDER.encode(), 2: LONG.encode()}
    assert peppers.newest == 2
    assert not settings.peppers_file.exists()


def test_without_any_a_file_is_made_once_and_read_ever_after(settings):
    assert not are_there(settings)
    first = peppers_of(settings)
    assert are_there(settings)
    assert peppers_of(settings).secrets == first.secrets
    [secret] = first.secrets.values()
    assert len(secret) >= 43  # 32 random bytes in base 64: 4/3 of 32 letters (RFC 4648, 5)


def test_two_installations_have_different_secrets(settings, tmp_path):
    other = settings.model_copy(update={"data": tmp_path / "other"})
    assert peppers_of(settings).secrets != peppers_of(other).secrets


def test_file_and_folder_are_for_their_owner_alone(settings):
    peppers_of(settings)
    assert stat.S_IMODE(settings.peppers_file.stat().st_mode) == 0o600
    assert stat.S_IMODE(settings.data.stat().st_mode) == 0o700


def test_nothing_else_is_left_in_the_folder(settings):
    peppers_of(settings)
    assert not list(settings.data.glob("*.part"))


def test_a_file_that_others_can_read_is_told(settings, caplog):
    peppers_of(settings)
    settings.peppers_file.chmod(0o644)
    with caplog.at_level(logging.WARNING):
        peppers_of(settings)
    assert "chmod 600" in caplog.text


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "part 1"),
        (LONG, "part 1"),
        (f"0:{LONG}", "part 1"),
        (f"x:{LONG}", "part 1"),
        (f"-1:{LONG}", "part 1"),
        (f"1:{LONG},", "part 2"),
        ("1:" + LONG[:31], "secret 1 is shorter than 32"),
        (f"1:{LONG},1:{OLDER}", "number 1 stands twice"),
        (f"1:{LONG},{OLDER}", "part 2"),
    ],
)
def test_faulty_secrets_are_refused_without_showing_one(text, fault):
    with pytest.raises(PeppersError, match=fault) as caught:
        parsed(text, "WINTERGROUND_PEPPERS")
    told = str(caught.value)
    assert "WINTERGROUND_PEPPERS" in told
    for secret in (LONG, LONG[:31], OLDER):
        assert secret not in told
        assert secret not in repr(caught.value)


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"nonsense"])
def test_a_faulty_file_is_named(settings, content):
    settings.data.mkdir()
    settings.peppers_file.write_bytes(content)
    with pytest.raises(PeppersError, match="peppers"):
        peppers_of(settings)


def test_secrets_do_not_show_in_the_settings(settings):
    given = settings.model_copy(update={"peppers": SecretStr(f"1:{LONG}")})
    assert LONG not in repr(given)


SHOW = """
import sys
from service.settings import Settings
from service.store.pepper_file import peppers_of
print("ready", flush=True)
sys.stdin.readline()
print(dict(peppers_of(Settings(data=sys.argv[1], peppers=None)).secrets))
"""


def test_processes_that_start_at_once_end_with_the_same_secret(settings):
    processes = [
        subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-c", SHOW, str(settings.data)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(4)
    ]
    for process in processes:
        assert process.stdout.readline() == "ready\n"
    for process in processes:
        process.stdin.write("go\n")
        process.stdin.flush()
    found = {process.communicate(timeout=60)[0] for process in processes}
    assert found == {f"{dict(peppers_of(settings).secrets)}\n"}
