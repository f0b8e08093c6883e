"""How a line of the log looks: as text or as JSON, without what a caller sent.

An error is told by where it happened, its kind and the first line of its text, in which tokens and
whatever stands in quotation marks are blotted out: there input is repeated. Values of variables
are never told.
"""

import json
import logging
import re
import time
import traceback
from functools import lru_cache
from typing import Any, cast

from service.scenarios.events import ABOUT
from service.scenarios.tokens import masked
from service.settings import LogFormat, LogLevel

MOST_OF_A_MESSAGE = 200
MOST_ERRORS = 8
"""Of one error: itself, what it came from, and those that came together."""

QUOTED = re.compile(r"""(?<!\w)(?:'[^']*'|"[^"]*")(?!\w)""")
UNQUOTED_END = re.compile(r"""(?<!\w)['"].*""")
AS_JSON = json.JSONEncoder(default=str).encode

BLOT = "\N{HORIZONTAL ELLIPSIS}"


class _Line(logging.Formatter):
    """What both forms share."""

    def fields(self, record: logging.LogRecord) -> dict[str, Any]:
        """Return what a record tells, in the order in which it is told."""
        second, rest = divmod(record.created, 1)
        told: dict[str, Any] = {
            "time": f"{_to_the_second(int(second))}.{int(rest * 1000):03d}Z",
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": masked(record.getMessage()).strip(),
        }
        about: dict[str, Any] = getattr(record, ABOUT, {})
        return told | about


class JsonLine(_Line):
    """One JSON object a line."""

    def format(self, record: logging.LogRecord) -> str:
        """Return a record as a line."""
        told = self.fields(record)
        if record.exc_info and record.exc_info[1] is not None:
            told["error"] = error_told(record.exc_info[1])
        return AS_JSON(told)  # in ASCII: nothing else ends a line or moves a cursor


class TextLine(_Line):
    """Time, level and message, then what else is known as name=value; an error on further lines."""

    def format(self, record: logging.LogRecord) -> str:
        """Return a record as a line."""
        told = self.fields(record)
        head = [told.pop("time"), told.pop("level").upper(), told.pop("message")]
        del told["logger"]
        more = [f"{name}={'-' if value is None else value}" for name, value in told.items()]
        line = _visible(" ".join((*head, *more)))
        if record.exc_info and record.exc_info[1] is not None:
            line += "".join(f"\n  {_visible(one)}" for one in error_told(record.exc_info[1]))
        return line


@lru_cache(maxsize=1)
def _to_the_second(second: int) -> str:
    return time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime(second))


def error_told(error: BaseException) -> list[str]:
    """Return where an error happened and what kind it is, what it came from before it."""
    lines: list[str] = []
    for one in _chain(error):
        lines += [
            f"{frame.filename}:{frame.lineno} in {frame.name}"
            for frame in traceback.extract_tb(one.__traceback__)
        ]
        lines.append(f"{type(one).__qualname__}: {text_of_error(one)}")
    return lines


def text_of_error(error: BaseException) -> str:
    """Return the first line of an error's text without what may have been sent by a caller."""
    first = str(error).strip().partition("\n")[0]
    return masked(UNQUOTED_END.sub(BLOT, QUOTED.sub(BLOT, first)))[:MOST_OF_A_MESSAGE]


def _chain(error: BaseException) -> list[BaseException]:
    """Return an error after those that it came from, each once, not too many."""
    found: list[BaseException] = []
    waiting = [error]
    while waiting and len(found) < MOST_ERRORS:
        one = waiting.pop(0)
        if one in found:
            continue
        found.append(one)
        if isinstance(one, BaseExceptionGroup):
            waiting += cast("BaseExceptionGroup[BaseException]", one).exceptions
        before = one.__cause__ or (None if one.__suppress_context__ else one.__context__)
        if before is not None:
            waiting.append(before)
    return found[::-1]


def _visible(text: str) -> str:
    """Return a text in which nothing begins a new line or moves the cursor."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def log_config(level: LogLevel, form: LogFormat) -> dict[str, Any]:
    """Return how a process of the server logs, as ``logging.config.dictConfig`` takes it.

    Everything goes to standard error in one form; libraries are heard from warnings upward.
    """
    line = JsonLine if form == "json" else TextLine
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": {"()": f"{line.__module__}.{line.__qualname__}"}},
        "handlers": {"errors": {"class": "logging.StreamHandler", "formatter": "line"}},
        "root": {"level": "WARNING", "handlers": ["errors"]},
        "loggers": {
            "service": {"level": level.upper()},
            "uvicorn": {"level": "WARNING"},
            "uvicorn.access": {"level": "CRITICAL", "propagate": False},
        },
    }
