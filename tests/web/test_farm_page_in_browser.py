"""The page in a real browser: it prints on one side, fits a phone, and costs what-ifs."""

import re
import socket
import threading
import time

import pytest
import uvicorn

from service.demo import demo_document
from service.web.app import create_app
from tests.support.offices import small_document
from tests.web.browser import PAPERS, Browser, browser_path
from tests.web.farm_page_read import is_nearest_hundred
from tests.web.keeping import Keeping

PHONE = 360
LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3, for text of any size."""


class _Served:
    """The application on a port of this machine."""

    def __init__(self):
        self.kept = Keeping(create_app())
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        config = uvicorn.Config(self.kept.app, port=self.port, log_level="error", lifespan="off")
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, daemon=True)

    @property
    def host(self):
        return f"http://127.0.0.1:{self.port}"

    def link(self, document):
        scenario = self.kept.stored(document)
        return scenario, f"{self.host}/s/{self.kept.link(scenario)}"


@pytest.fixture(scope="module")
def served():
    browser_path()
    found = _Served()
    found.thread.start()
    while not found.server.started:
        time.sleep(0.02)
    yield found
    found.server.should_exit = True
    found.thread.join()


@pytest.fixture(scope="module")
def browser():
    with Browser(browser_path()) as found:
        yield found


@pytest.fixture(scope="module")
def demo(served):
    return served.link(demo_document())


@pytest.mark.parametrize("paper", list(PAPERS))
def test_the_demo_prints_on_one_side(browser, demo, paper):
    browser.open(demo[1])
    assert browser.printed_pages(paper) == 1


@pytest.mark.parametrize("paper", list(PAPERS))
def test_a_what_if_prints_on_one_side(browser, demo, paper):
    browser.open(f"{demo[1]}?set.hay.price_per_ton=160&cost_share=none")
    assert browser.printed_pages(paper) == 1


def test_a_small_farm_prints_on_one_side(browser, served):
    browser.open(served.link(small_document())[1])
    assert browser.printed_pages("US Letter") == 1


def test_pictures_print_on_further_sheets_if_they_are_asked_for(browser, demo):
    browser.open(demo[1])
    browser.tell("document.getElementById('pictures').open = true")
    assert browser.printed_pages("A4") > 1


def test_text_is_printed_in_12_point_and_the_table_in_no_less_than_8(browser, demo):
    browser.open(demo[1])
    browser.call("Emulation.setEmulatedMedia", media="print")
    sizes = browser.tell(
        "['.answer p', '.plain li', 'ol:not(.run-in) li', 'tbody td:not(.small)'].map(place => "
        "parseFloat(getComputedStyle(document.querySelector(place)).fontSize) * 0.75)"
    )
    browser.call("Emulation.setEmulatedMedia", media="")
    assert sizes[:3] == [12, 12, 12]
    assert sizes[3] >= 9


def test_the_page_is_as_wide_as_a_phone_and_the_table_slides(browser, demo):
    browser.open(demo[1], PHONE, 740)
    assert browser.tell("document.documentElement.scrollWidth") <= PHONE
    assert browser.tell(
        "(box => box.scrollWidth > box.clientWidth)(document.querySelector('.sideways'))"
    )
    smallest = browser.tell(
        "Math.min(...[...document.querySelectorAll('main *')].filter(one => !one.closest('svg') && "
        "one.offsetParent && one.textContent.trim()).map(one => "
        "parseFloat(getComputedStyle(one).fontSize)))"
    )
    assert smallest >= 12


def test_the_hay_price_moved_on_the_page_shows_what_it_costs(browser, served, demo):
    scenario, link = demo
    browser.open(link, PHONE, 740)
    cell = (
        "document.querySelector('[data-figure=year][data-system=lot_better_feeders]').textContent"
    )
    before = browser.tell(cell).strip()
    browser.tell(
        "(field => { field.value = '131'; "
        "field.dispatchEvent(new Event('input', {bubbles: true})); })"
        "(document.querySelector('[name=\"set.hay.price_per_ton\"]'))"
    )
    browser.wait_for("document.querySelector('.told')")
    costing = served.kept.get(
        f"/v1/scenarios/{scenario}/costing?set.hay.price_per_ton=131", "read"
    ).json()
    system = next(one for one in costing["systems"] if one["system"] == "lot_better_feeders")
    shown = browser.tell(cell).strip()
    assert shown != before
    assert is_nearest_hundred(shown, system["annual_equivalent_cost"])
    assert browser.tell("location.search") == ""
    assert "131" in browser.tell("document.querySelector('.told').textContent")


def test_a_wrong_figure_is_told_and_what_was_shown_stays(browser, demo):
    browser.open(demo[1])
    browser.tell(
        "(field => { field.value = '-1'; "
        "field.dispatchEvent(new Event('input', {bubbles: true})); })"
        "(document.querySelector('[name=\"set.prices.labor_per_hour\"]'))"
    )
    browser.wait_for("document.querySelector('.fault')")
    assert "at least 0" in browser.tell("document.querySelector('.fault').textContent")
    assert browser.tell("document.querySelectorAll('[data-figure=year]').length") == 7


def test_without_scripts_the_form_is_sent_and_answered(browser, demo):
    browser.open(demo[1])
    browser.call("Emulation.setScriptExecutionDisabled", value=True)
    browser.open(f"{demo[1]}?set.hay.price_per_ton=131")
    browser.call("Emulation.setScriptExecutionDisabled", value=False)
    assert "131" in browser.tell("document.querySelector('.told').textContent")


def test_no_request_leaves_the_host_and_the_policy_is_kept(browser, served, demo):
    browser.asked.clear()
    browser.said.clear()
    browser.open(demo[1])
    browser.tell("document.getElementById('pictures').open = true")
    browser.tell("document.getElementById('what-if').requestSubmit()")
    browser.wait_for("!document.getElementById('what-if-said').textContent.includes('Costing')")
    assert browser.asked
    assert [
        address for address in browser.asked if not address.startswith((served.host, "data:"))
    ] == []
    assert browser.said == []


def test_hostile_names_run_nothing_and_keep_to_the_page(browser, served):
    document = small_document(name="<script>document.title='gone'</script>\u202e")
    for system in document["systems"].values():
        system["title"] = "<img src=x onerror=\"document.title='gone'\">" + "W" * 150
    browser.open(served.link(document)[1], PHONE, 740)
    assert browser.tell("document.title").startswith("Winter feeding, <script>")
    assert browser.tell("document.documentElement.scrollWidth") <= PHONE


CONTRASTS = """
(() => {
  const parts = text => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map(v => v / 255)
    .map(v => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const behind = one => {
    for (; one; one = one.parentElement) {
      const found = parts(getComputedStyle(one).backgroundColor);
      if (found.length === 3 || found[3] > 0) return found;
    }
    return [255, 255, 255];
  };
  return [...document.querySelectorAll('main *')].filter(one => !one.closest('svg')
    && [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim()))
    .map(one => {
      const [a, b] = [light(parts(getComputedStyle(one).color)), light(behind(one))];
      return [(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), one.tagName, one.className];
    });
})()
"""


def test_all_text_stands_out_from_what_is_behind_it(browser, demo):
    # relative luminance and contrast ratio as WCAG 2.2 defines them
    browser.open(f"{demo[1]}?set.prices.labor_per_hour=-1")
    browser.tell("document.getElementById('pictures').open = true")
    found = browser.tell(CONTRASTS)
    assert len(found) > 100
    assert [item for item in found if item[0] < LEAST_CONTRAST] == []


def test_what_can_be_used_has_a_name_for_those_who_cannot_see(browser, demo):
    browser.open(demo[1])
    browser.call("Accessibility.enable")
    nodes = browser.call("Accessibility.getFullAXTree")["nodes"]
    roles = {"textbox", "spinbutton", "combobox", "button", "link", "region", "form", "image"}
    unnamed = [
        node["role"]["value"]
        for node in nodes
        if not node.get("ignored")
        and node["role"]["value"] in roles
        and not re.sub(r"\s", "", node.get("name", {}).get("value", ""))
    ]
    assert unnamed == []
