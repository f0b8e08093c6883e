"""The annexes in print: two sheets at most, in a real browser, on both sizes of paper."""

import json
import os
import re
import shutil
import subprocess

import pytest

from service.demo import demo_document
from service.web.annexes.pages import html_of
from service.web.annexes.readers import annex_of
from tests.web.annexed import subject_of
from tests.web.conftest import FARMS

REQUIRED = "WINTERGROUND_REQUIRE_BROWSER"
SHEETS = 2
PAGE = re.compile(rb"/Type\s*/Page\b")


@pytest.fixture(scope="module")
def browser():
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if found := shutil.which(name):
            return found
    said = "no Chromium: apt-get install chromium"
    if os.environ.get(REQUIRED) == "1":
        pytest.fail(said)
    pytest.skip(said)


def _sheets(browser, folder, html):
    page, pdf = folder / "annex.html", folder / "annex.pdf"
    page.write_text(html, "utf-8")
    subprocess.run(  # noqa: S603 - the browser that was found, on a page of our own
        [
            browser,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-pdf-header-footer",
            f"--user-data-dir={folder / 'profile'}",
            f"--print-to-pdf={pdf}",
            page.as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return len(PAGE.findall(pdf.read_bytes()))


def _html(reader, document, system=None):
    return html_of(annex_of(reader, subject_of(document, system)))


@pytest.mark.parametrize("paper", ["Letter", "A4"])
@pytest.mark.parametrize(
    ("reader", "system"),
    [
        ("engineer", "by_the_ground"),
        ("engineer", "roofed_pad"),
        ("engineer", "rock_pad"),
        ("lender", "roofed_pad"),
    ],
)
def test_the_demo_prints_on_two_sheets(browser, tmp_path, reader, system, paper):
    html = _html(reader, demo_document(), system)
    html = html.replace("@page {", f"@page {{ size: {paper};")
    assert 0 < _sheets(browser, tmp_path, html) <= SHEETS


@pytest.mark.parametrize("reader", ["engineer", "lender"])
@pytest.mark.parametrize("farm", ["worked_farm", "worked_farm_rows", "worked_farm_edges"])
def test_the_worked_farms_print_on_two_sheets(browser, tmp_path, farm, reader):
    document = json.loads((FARMS / f"{farm}.json").read_text("utf-8"))
    assert 0 < _sheets(browser, tmp_path, _html(reader, document)) <= SHEETS
