"""Pages held against the rules of axe-core (WCAG 2.2, levels A and AA), in a real browser."""

import json
import socket
import threading
import time
from importlib.metadata import files

import pytest
import uvicorn

from service.demo import demo_document
from service.web.app import create_app
from tests.web.browser import Browser, browser_path
from tests.web.keeping import Keeping

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
PAGES = ("farm", "start", "engineer", "lender")


def axe() -> str:
    """Return the program of axe-core, as the package ships it."""
    found = next(file for file in files("axe-core-python") or () if file.name == "axe.min.js")
    return found.locate().read_text("utf-8")


@pytest.fixture(scope="module")
def addresses():
    browser_path()
    kept = Keeping(create_app())
    scenario = kept.stored(demo_document())
    link = kept.link(scenario)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(kept.app, port=port, log_level="error", lifespan="off"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    host = f"http://127.0.0.1:{port}"
    annex = f"{host}/v1/scenarios/{scenario}/annex.html?token={link}&reader="
    yield {
        "farm": f"{host}/s/{link}",
        "start": f"{host}/start",
        "engineer": f"{annex}engineer",
        "lender": f"{annex}lender",
    }
    server.should_exit = True
    thread.join()


@pytest.fixture(scope="module")
def browser():
    with Browser(browser_path()) as found:
        yield found


@pytest.mark.parametrize("width", [360, 1200])
@pytest.mark.parametrize("page", PAGES)
def test_a_page_breaks_no_rule(browser, addresses, page, width):
    browser.open(addresses[page], width)
    browser.tell(f"{axe()}; true")
    options = json.dumps({"runOnly": RULES, "resultTypes": ["violations"]})
    browser.tell(
        f"axe.run(document, {options}).then(found => {{ window.found = found.violations }}); true"
    )
    browser.wait_for("window.found !== undefined")
    found = json.loads(
        browser.tell(
            "JSON.stringify(window.found.map(rule => [rule.id, rule.help,"
            " rule.nodes.slice(0, 3).map(node => node.html.slice(0, 200))]))"
        )
    )
    assert found == []


def test_a_broken_rule_would_be_found(browser, addresses):
    browser.open(addresses["start"])
    browser.tell("document.documentElement.removeAttribute('lang'); true")
    browser.tell(f"{axe()}; true")
    browser.tell("axe.run().then(found => { window.found = found.violations }); true")
    browser.wait_for("window.found !== undefined")
    assert "html-has-lang" in browser.tell("JSON.stringify(window.found.map(rule => rule.id))")
