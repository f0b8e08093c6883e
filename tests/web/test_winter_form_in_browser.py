"""The form of a winter in a real browser, as wide as a phone and filled by keyboard alone."""

import base64
import json
import os
import socket
import threading
import time
from pathlib import Path

import pytest
import uvicorn

from service.web.app import create_app
from tests.web.browser import Browser, browser_path
from tests.web.test_accessible_pages import RULES, axe
from tests.web.winter_told import SEASON, WAY, Phone

PHONE = 390
PICTURES = os.environ.get("WINTERGROUND_PICTURES")
"""Folder for pictures of the pages, to be looked at; none are taken without it."""

LEAST_TEXT = 16
"""Below it some phones zoom in on a field that is tapped: common practice, no source [px]."""

KEYS = {"Tab": 9, "Enter": 13, "ArrowDown": 40, " ": 32}
MOST_TABS = 120


class _Served(Phone):
    """The application on a port of this machine."""

    def __init__(self):
        super().__init__(create_app())
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        config = uvicorn.Config(self.kept.app, port=self.port, log_level="error", lifespan="off")
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.02)

    @property
    def link(self):
        """The edit link, as it is sent to somebody."""
        return f"http://127.0.0.1:{self.port}/winter#{self.token}"

    def end(self):
        """End the server."""
        self.server.should_exit = True
        self.thread.join()


@pytest.fixture
def served():
    browser_path()
    found = _Served()
    yield found
    found.end()


@pytest.fixture
def browser():
    with Browser(browser_path()) as found:
        yield found


def _opened(browser, served):
    browser.open(served.link, PHONE, 844)
    browser.wait_for("document.querySelector('#winter button')")


def _press(browser, key):
    text = {"text": "\r"} if key == "Enter" else {}
    for kind in ("keyDown", "keyUp"):
        browser.call(
            "Input.dispatchKeyEvent",
            type=kind,
            key=key,
            code="Space" if key == " " else key,
            windowsVirtualKeyCode=KEYS[key],
            **(text if kind == "keyDown" else {}),
        )


def _tab_to(browser, place):
    for _ in range(MOST_TABS):
        _press(browser, "Tab")
        if browser.tell("document.activeElement.id") == place:
            return
    pytest.fail(f"the keyboard does not lead to {place}")


def _type(browser, place, text):
    _tab_to(browser, place)
    browser.call("Input.insertText", text=text)


def _pictured(browser, name):
    if PICTURES is None:
        return
    taken = browser.call("Page.captureScreenshot", captureBeyondViewport=True)
    Path(PICTURES, f"{name}.png").write_bytes(base64.b64decode(taken["data"]))


def _broken_rules(browser):
    browser.tell(f"{axe()}; true")
    options = json.dumps({"runOnly": RULES, "resultTypes": ["violations"]})
    browser.tell(
        f"axe.run(document, {options}).then(found => {{ window.found = found.violations }}); true"
    )
    browser.wait_for("window.found !== undefined")
    return json.loads(
        browser.tell(
            "JSON.stringify(window.found.map(rule => [rule.id, rule.help,"
            " rule.nodes.slice(0, 3).map(node => node.html.slice(0, 200))]))"
        )
    )


def _assert_fits_a_phone(browser):
    assert browser.tell("document.documentElement.scrollWidth") <= PHONE
    smallest = browser.tell(
        "Math.min(...[...document.querySelectorAll('input, textarea, button')]"
        ".filter(one => one.offsetParent).map(one => parseFloat(getComputedStyle(one).fontSize)))"
    )
    assert smallest >= LEAST_TEXT


def test_a_link_is_opened_filled_by_keyboard_and_saved(browser, served):
    _opened(browser, served)
    assert served.token not in browser.tell("location.href")
    assert served.token not in browser.tell("document.title")
    _assert_fits_a_phone(browser)
    _tab_to(browser, "f-system")
    ways = browser.tell("[...document.querySelectorAll('[name=system]')].map(one => one.value)")
    for _ in range(ways.index(WAY) + 1):  # from the last one on round to the first
        _press(browser, "ArrowDown")
    assert browser.tell("document.querySelector('[name=system]:checked').value") == WAY
    _type(browser, "f-days-by_the_ground-bales", "41")
    _type(browser, "f-days-by_the_ground-pad", "about 40")
    _type(browser, "f-bales_on_hand", "180")
    _type(browser, "f-bales_fed", "402")
    _type(browser, "f-minutes_per_day", "95")
    _type(browser, "f-acres_by_severity-moderate", "2 1/2")
    _type(browser, "f-animals_lost-ewes", "2")
    _type(browser, "f-worst_weeks", "End of January")
    _pictured(browser, "form")
    _tab_to(browser, "f-remark")
    _press(browser, "Tab")
    _press(browser, "Enter")
    browser.wait_for("document.querySelector('.kept')")
    _pictured(browser, "kept")
    _assert_fits_a_phone(browser)
    assert _broken_rules(browser) == []
    (kept,) = served.recorded()
    assert (kept["season"], kept["system"], kept["version"]) == (SEASON, WAY, 1)
    assert kept["facts"] == {
        "days_by_method": {"bales": 41, "pad": 40},
        "bales_on_hand": 180,
        "bales_fed": 402,
        "minutes_per_day": 95,
        "acres_by_severity": {"moderate": 2.5},
        "animals_lost": {"ewes": 2},
        "worst_weeks": "End of January",
    }
    assert [one for one in browser.asked if served.token in one] == []
    page = served.link.partition("#")[0]
    assert {one for one in browser.asked if not one.startswith("data:")} == {page}
    assert browser.said == []
    history = browser.call("Page.getNavigationHistory")["entries"]
    assert [one["url"] for one in history if served.token in one["url"]] == []


def test_the_steps_of_the_way_that_is_chosen_are_shown_and_no_others(browser, served):
    _opened(browser, served)
    seen = "[...document.querySelectorAll('.steps')].filter(one => one.offsetParent).length"
    assert browser.tell(seen) == 0
    browser.tell(f"document.getElementById('f-system-{WAY}').click()")
    assert browser.tell(seen) == 1
    assert browser.tell(
        "document.getElementById('f-days-by_the_ground-bales').offsetParent !== null"
    )


@pytest.mark.parametrize("width", [360, PHONE, 1200])
def test_the_pages_break_no_rule(browser, served, width):
    browser.open(served.link.partition("#")[0], width)
    assert _broken_rules(browser) == []
    browser.open("about:blank#")
    browser.open(served.link, width)
    browser.wait_for("document.querySelector('#winter button')")
    browser.tell(f"document.getElementById('f-system-{WAY}').click()")
    assert _broken_rules(browser) == []
    served.put({"system": "grass_first", "bales_fed": 280})
    browser.tell("document.getElementById('f-bales_fed').value = '402'")
    browser.tell("document.getElementById('winter').requestSubmit()")
    browser.wait_for("document.querySelector('.stands')")
    _pictured(browser, f"stale_{width}")
    assert _broken_rules(browser) == []
    assert browser.tell("document.documentElement.scrollWidth") <= width
    browser.tell("document.getElementById('f-bales_fed').value = 'many'")
    browser.tell("document.getElementById('winter').requestSubmit()")
    browser.wait_for("document.querySelector('.fault')")
    _pictured(browser, f"faults_{width}")
    assert _broken_rules(browser) == []
    assert browser.tell("document.activeElement.id") == "trouble"
    assert browser.tell("document.documentElement.scrollWidth") <= width


def test_a_link_that_opens_nothing_is_told_on_the_page_that_asks_for_it(browser, served):
    browser.open(f"{served.link[:-2]}", PHONE, 844)
    browser.wait_for("document.getElementById('trouble')")
    assert "mistyped or cut off" in browser.tell("document.body.textContent")
    assert browser.tell("document.getElementById('code').value") == ""
    _pictured(browser, "closed")
    assert _broken_rules(browser) == []


def test_without_scripts_the_link_is_pasted(browser, served):
    browser.call("Emulation.setScriptExecutionDisabled", value=True)
    browser.open(served.link, PHONE, 844)
    _tab_to(browser, "code")
    browser.call("Input.insertText", text=served.link)
    _press(browser, "Enter")
    browser.wait_for("document.querySelector('#winter button')")
    browser.call("Emulation.setScriptExecutionDisabled", value=False)
    assert served.token not in browser.tell("location.href")


def test_a_link_that_comes_to_a_page_that_is_open_is_opened_too(browser, served):
    browser.open(served.link.partition("#")[0], PHONE, 844)
    browser.tell(f"location.hash = '{served.token}'")
    browser.wait_for("document.querySelector('#winter button')")
    assert served.token not in browser.tell("location.href")
