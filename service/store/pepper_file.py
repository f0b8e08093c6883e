"""The secrets that tokens are hashed with: from the environment, or from a file made at first need.

They lie apart from the database, and are to be backed up apart from it: both together open
everything, neither alone opens anything.
"""

import logging
import re
import secrets
from pathlib import Path

from service.scenarios.tokens import Peppers
from service.settings import PREFIX, Settings
from service.store.data_folder import locked, written
from service.store.errors import PeppersError

SHORTEST = 32
RANDOM_BYTES = 32
OTHERS = 0o077
NUMBER = re.compile(r"[1-9][0-9]{0,4}")

log = logging.getLogger(__name__)


def peppers_of(settings: Settings) -> Peppers:
    """Return the secrets, made if there are none yet.

    Raises
    ------
    PeppersError
        If they are not as they must be; no secret stands in its text.
    """
    if settings.peppers is not None:
        return parsed(settings.peppers.get_secret_value(), f"{PREFIX}PEPPERS")
    file = settings.peppers_file
    if not file.exists():
        with locked(settings):
            if not file.exists():
                written(file, f"1:{secrets.token_urlsafe(RANDOM_BYTES)}\n")
    return _read(file)


def are_there(settings: Settings) -> bool:
    """Whether the secrets are given or were made before."""
    return settings.peppers is not None or settings.peppers_file.exists()


def parsed(text: str, place: str) -> Peppers:
    """Return secrets written as ``2:secret,1:older``.

    Parameters
    ----------
    text : str
        Numbers and secrets.
    place : str
        Where they stand, for the text of an error.

    Raises
    ------
    PeppersError
        If they are not as they must be; no secret stands in its text.
    """
    found: dict[int, bytes] = {}
    for position, part in enumerate(text.strip().split(","), start=1):
        number, colon, secret = part.strip().partition(":")
        if not colon or not NUMBER.fullmatch(number):
            raise _faulty(place, f"part {position} does not begin with a number and a colon")
        if len(secret) < SHORTEST:
            raise _faulty(place, f"secret {number} is shorter than {SHORTEST} characters")
        if int(number) in found:
            raise _faulty(place, f"number {number} stands twice")
        found[int(number)] = secret.encode()
    return Peppers(found)


def _read(file: Path) -> Peppers:
    try:
        if file.stat().st_mode & OTHERS:
            log.warning("%s can be read by others; make it private: chmod 600 %s", file, file)
        text = file.read_text("utf-8")
    except OSError as error:
        raise _faulty(str(file), error.strerror or "it cannot be read") from None
    except UnicodeDecodeError:
        raise _faulty(str(file), "it is no text") from None
    return parsed(text, str(file))


def _faulty(place: str, fault: str) -> PeppersError:
    return PeppersError(
        f"The secrets in {place} cannot be used: {fault}. Written 2:secret,1:older."
    )
