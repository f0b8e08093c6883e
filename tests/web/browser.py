"""A real browser for tests, spoken to through a pipe: what it shows, asks for, and prints."""

import base64
import contextlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from typing import Any, Self

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
REQUIRED = "WINTERGROUND_REQUIRE_BROWSER"
SECONDS = 30
LAUNCH = """
import fcntl, os, sys
ends = [fcntl.fcntl(int(end), fcntl.F_DUPFD, 10) for end in sys.argv[1:3]]
for place, end in zip((3, 4), ends):
    os.dup2(end, place)
os.execv(sys.argv[3], sys.argv[3:])
"""
"""The browser reads what it is told from its file 3 and answers into its file 4."""
INCH_MM = 25.4
PAPERS = {"US Letter": (8.5, 11.0), "A4": (210 / INCH_MM, 297 / INCH_MM)}
"""Sides [inch]: ANSI/ASME Y14.1 and ISO 216."""


def browser_path() -> str:
    """Return the path of a browser; skip the test, or fail it where one is required."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        said = "no browser: install chromium"
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(said)
        pytest.skip(said)
    return found


class Browser:
    """One page of a headless browser (Chrome DevTools Protocol over a pipe)."""

    def __init__(self, path: str) -> None:
        self.asked: list[str] = []
        """Addresses that the page asked for."""
        self.said: list[str] = []
        """What the page told the console of errors, its content policy among them."""
        self._number, self._rest, self._session = 0, b"", ""
        self._folder = tempfile.mkdtemp(prefix="browser-")
        to_child, self._write = os.pipe()
        self._read, from_child = os.pipe()

        self._process = subprocess.Popen(  # noqa: S603 - a browser found on this machine
            [
                sys.executable,
                "-c",
                LAUNCH,
                str(to_child),
                str(from_child),
                path,
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-background-networking",
                "--no-first-run",
                "--remote-debugging-pipe",
                f"--user-data-dir={self._folder}",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            pass_fds=(to_child, from_child),
        )
        os.close(to_child)
        os.close(from_child)

    def __enter__(self) -> Self:
        """Open a page."""
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        attached = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self.call(f"{domain}.enable")
        return self

    def __exit__(self, *_: object) -> None:
        """End the browser."""
        self._process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(SECONDS)
        os.close(self._write)
        os.close(self._read)
        shutil.rmtree(self._folder, ignore_errors=True)

    def call(self, method: str, **parameters: Any) -> Any:
        """Ask for something and return the answer."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._message()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return answer["result"]

    def _message(self) -> Any:
        while b"\0" not in self._rest:
            more = os.read(self._read, 1 << 20)
            assert more, "the browser ended"
            self._rest += more
        text, _, self._rest = self._rest.partition(b"\0")
        found = json.loads(text)
        method, told = found.get("method"), found.get("params", {})
        if method == "Network.requestWillBeSent":
            self.asked.append(told["request"]["url"])
        elif method == "Log.entryAdded":
            self.said.append(told["entry"]["text"])
        elif method == "Runtime.exceptionThrown":
            self.said.append(str(told["exceptionDetails"]))
        return found

    def open(self, address: str, width: int = 1200, height: int = 900) -> None:
        """Open an address and wait until it is there."""
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=width < 600,
        )
        self.call("Page.navigate", url=address)
        self.wait_for("document.readyState === 'complete' && location.href !== 'about:blank'")

    def tell(self, expression: str) -> Any:
        """Return the value of an expression in the page."""
        answer = self.call(
            "Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True
        )
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def wait_for(self, expression: str) -> None:
        """Wait until an expression holds in the page."""
        end = time.monotonic() + SECONDS
        while not self.tell(f"Boolean({expression})"):
            assert time.monotonic() < end, f"waited in vain for {expression}"
            time.sleep(0.05)

    def printed_pages(self, paper: str) -> int:
        """Print the page and return how many sheets it takes."""
        width, height = PAPERS[paper]
        answer = self.call(
            "Page.printToPDF", paperWidth=width, paperHeight=height, preferCSSPageSize=False
        )
        return len(re.findall(rb"/Type\s*/Page\b", base64.b64decode(answer["data"])))
