"""Whatever a user writes is text in every answer, in whichever form it comes.

A farm, an office's key and a winter are written full of what could do harm: markup, formulas, ends
of lines, commas of calendars. Then every address that can be read is asked for every form that the
description names, once of that farm and once of the same farm with harmless words; the two may
differ in words alone. Single pages and tables with the same texts are looked at closer in
``test_shared_page.py``, ``test_season_pages.py``, ``test_annexes.py``, ``test_start_form.py`` and
``tests/reports/test_tables.py``; whether file names hold in ``test_costing_tables.py``.
"""

import csv
import io
import itertools
import json
import re
from collections import Counter
from html.parser import HTMLParser
from xml.etree import ElementTree as ET

import openpyxl
import pytest
from icalendar import Calendar

from service.demo import demo_document
from service.scenarios.working import work_on_next
from service.web.app import create_app
from service.web.openapi import describe
from tests.support.recorded_weather import record_request
from tests.web.keeping import Keeping

MARK = "qzx"
"""Stands in every hostile text and in nothing of ours."""
HOSTILE = (
    f"<script>{MARK}(1)</script>",
    f'"><img src=x onerror={MARK}(2)>',
    f"'><svg onload={MARK}(3)><a href=javascript:{MARK}(4)>",
    f"</title></style></script></textarea><iframe src=//{MARK}.invalid>",
    f'=HYPERLINK("http://{MARK}.invalid","see")',
    f"@SUM(1){MARK}",
    f"+1+{MARK}",
    f"-2-{MARK}",
    f" =cmd|' /C {MARK}'!A0",
    f"{{{{ 7 * 7 }}}}{{% raw %}}{MARK}",
    f"x;DTSTART:20200101T000000Z,ATTACH:http://{MARK}.invalid\\nEND:VEVENT",
    f"]]></svg><script>{MARK}(5)</script><!--",
    f"\u202e{MARK}\u2066\u05d0\u00e9\U0001f404",
    f"%0d%0aX-Injected: {MARK}",
)
OF_LINES = f"a\r\nEND:VEVENT\r\nBEGIN:VALARM\r\n=1+1 {MARK}\r\n<script>{MARK}</script>"
PLAIN = tuple(f"Tansy {number}" for number in range(len(HOSTILE)))
NUMBER = re.compile(r"-?[0-9.,]+([eE][-+]?[0-9]+)?")
GUARDED = ("=", "+", "-", "@", "\t", "\r", "\n")


def rewritten(node, words):
    """Return a document with every free text of it replaced by the next of some words."""
    if isinstance(node, dict):
        return {
            key: next(words)[:60]
            if key in {"title", "name"} and isinstance(value, str)
            else rewritten(value, words)
            for key, value in node.items()
        }
    return [rewritten(one, words) for one in node] if isinstance(node, list) else node


class Farm:
    """A farm, an office's key and link, a winter, a record and a sweep, called by some words."""

    def __init__(self, texts, lines):
        words = itertools.cycle(texts)
        self.kept = Keeping(create_app())
        document = rewritten(demo_document(), words)
        document |= {"external_id": next(words)[:40]}
        made = self.post("/v1/scenarios", document=document, remark=next(words))
        base = f"/v1/scenarios/{made['id']}"
        for text in texts:
            self.post(f"{base}/notes", text=text)
            self.post("/v1/keys", access="read", label=text[:80])
            self.post(f"{base}/links", access="read", label=text[:80])
        self.post(f"{base}/notes", text=lines)
        self.put(f"{base}/winters/2025-26", bales_fed=300, remark=lines)
        changed = {"document": {"name": next(words)}, "remark": next(words)}
        self.kept("PATCH", base, json=changed, headers={"If-Match": "*"})
        record = self.post("/v1/weather-records", **record_request(label=next(words)))
        farms = [{"external_id": text} for text in texts]
        sweep = self.post("/v1/sweeps", document=document, farms=farms)
        asked = self.post(f"{base}/analyses", question="winter_types")
        while work_on_next(self.kept.desk, "A"):
            pass
        costing = self.kept.get(f"{base}/costing").headers["Content-Location"]
        self.parts = {
            "scenario": made["id"],
            "revision": "1",
            "season": "2025-26",
            "sweep": sweep["id"],
            "record": record["id"],
            "analysis": asked["id"],
            "costing": costing.rpartition("/")[2],
            "token": self.kept.link(made["id"]),
            "figure": "out_of_pocket",
            "name": "winters",
            "key": "hay_waste.ring_open",
        }

    def post(self, path, **body):
        """Send a body; return what was answered."""
        answer = self.kept("POST", path, json=body)
        assert answer.status_code in {200, 201, 202}, (path, answer.text)
        return answer.json()

    def put(self, path, **body):
        """Send a body that replaces another."""
        answer = self.kept("PUT", path, json=body)
        assert answer.status_code in {200, 201}, (path, answer.text)

    def asked(self, name, path, kind):
        """Return the answer of an address in a form."""
        query = {
            "compare_scenarios": f"?scenarios={self.parts['scenario']}@1,{self.parts['scenario']}",
            "get_cell": f"?scenario={self.parts['scenario']}&system=best",
        }.get(name, "")
        address = re.sub(r"\{(\w+)\}", lambda found: self.parts[found[1]], path)
        if kind == "text/tab-separated-values":
            query += ("&" if query else "?") + "dialect=tsv"
        if kind == "text/calendar":
            query = "?format=ics"
        if path == "/v1/audit":
            query += ("&" if query else "?") + "limit=200"
        shown = None if path.startswith("/s/") else "admin"
        return self.kept.get(address + query, shown, Accept=kind)


@pytest.fixture(scope="module")
def farms():
    """Return the farm with hostile words, and the same with harmless ones."""
    return Farm(HOSTILE, OF_LINES), Farm(PLAIN, "a\nb")


PAGE = "/s/{token}"
FORMS = [
    (operation["operationId"], path, kind)
    for path, methods in describe(create_app())["paths"].items()
    for method, operation in methods.items()
    if method == "get" and (operation.get("security") or path == PAGE)
    for kind in operation["responses"]["200"].get("content", {})
    if kind != "application/pdf"
]


class Markup(HTMLParser):
    """Elements with the names of their attributes, the texts of scripts and styles, and links."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.own, self.links, self.open = Counter(), [], [], ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Note an element."""
        self.elements[tag, tuple(sorted(name for name, _ in attrs))] += 1
        self.links += [value for name, value in attrs if name in {"href", "src", "action"}]
        self.open = tag

    def handle_endtag(self, tag):
        """Leave an element."""
        self.open = "" if tag == self.open else self.open

    def handle_data(self, data):
        """Note what is no text for people."""
        if self.open in {"script", "style"}:
            self.own.append(data)


def html(hostile, plain):
    found, wanted = Markup(hostile.text), Markup(plain.text)
    assert set(found.elements) == set(wanted.elements)
    assert found.own == wanted.own
    assert MARK not in "".join(found.own)
    assert not [one for one in found.links if MARK in (one or "") or "script:" in (one or "")]
    assert "script-src 'unsafe" not in hostile.headers["content-security-policy"]
    assert "\u202e" not in hostile.text
    assert "\u2066" not in hostile.text


def svg(hostile, plain):
    def elements(answer):
        # Ours: no entity is declared in it.
        assert "<!" not in answer.text.replace("<!--", "")
        return {
            (one.tag, tuple(sorted(one.attrib)))
            for one in ET.fromstring(answer.content).iter()  # noqa: S314 - ours
        }

    assert {tag for tag, _ in elements(hostile)} == {tag for tag, _ in elements(plain)}
    for tag, names in elements(hostile):
        assert not tag.lower().endswith(("script", "foreignobject", "iframe", "}a"))
        assert not [name for name in names if name.startswith("on")]


def table(hostile, plain, separator=","):
    def rows(answer):
        text = answer.content.decode("utf-8-sig")
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))

    found = rows(hostile)
    assert len(found) == len(rows(plain))
    assert len({len(row) for row in found}) <= 1
    for cell in itertools.chain.from_iterable(found):
        bare = cell.lstrip(" ")
        assert not bare.startswith(GUARDED) or NUMBER.fullmatch(bare), cell


def tabs(hostile, plain):
    table(hostile, plain, "\t")


def workbook(hostile, plain):
    def sheets(answer):
        return openpyxl.load_workbook(io.BytesIO(answer.content)).worksheets

    found = sheets(hostile)
    assert len(found) == len(sheets(plain))
    for sheet in found:
        assert not set(sheet.title) & set("[]:*?/\\")
        for cell in itertools.chain.from_iterable(sheet.iter_rows()):
            assert cell.data_type != "f" or MARK not in str(cell.value), cell.coordinate
            assert cell.hyperlink is None or MARK not in str(cell.hyperlink.target)


def calendar(hostile, plain):
    # RFC 5545, section 3.1: lines end with CR LF and have at most 75 octets; 3.3.11: TEXT.
    lines = hostile.content.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 and not set(line) & set(b"\r\n") for line in lines)

    def components(answer):
        return Counter(
            (component.name, tuple(sorted(component)))
            for component in Calendar.from_ical(answer.content).walk()
        )

    assert components(hostile) == components(plain)


def as_json(hostile, plain):
    assert type(hostile.json()) is type(plain.json())
    assert hostile.headers["x-content-type-options"] == "nosniff"


def plain_text(hostile, plain):
    assert hostile.headers["content-type"].startswith("text/plain")
    assert hostile.text.count("\n") == plain.text.count("\n")
    assert not hostile.text.startswith(GUARDED) or NUMBER.fullmatch(hostile.text.strip())


LOOKED_AT = {
    "text/html": html,
    "image/svg+xml": svg,
    "text/csv": table,
    "text/tab-separated-values": tabs,
    "text/calendar": calendar,
    "text/plain": plain_text,
    "application/json": as_json,
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": workbook,
}
SAVED = re.compile(r'(attachment|inline); filename="[A-Za-z0-9_-]+([._-][A-Za-z0-9_-]+)*\.[a-z]+"')
"""RFC 6266, section 4.1: a quoted string; with such letters alone nothing has to be escaped, and
no encoding of other letters (RFC 8187) is needed."""


@pytest.mark.parametrize(
    ("name", "path", "kind"), FORMS, ids=[f"{name}-{kind[-12:]}" for name, _, kind in FORMS]
)
def test_what_is_written_by_users_is_text_wherever_it_is_read(farms, name, path, kind):
    hostile, plain = (farm.asked(name, path, kind) for farm in farms)
    assert hostile.status_code == plain.status_code == 200, hostile.text
    assert hostile.headers["content-type"].partition(";")[0] == kind
    LOOKED_AT[kind](hostile, plain)
    for header, value in hostile.headers.multi_items():
        assert MARK not in value, header
        assert value.isprintable()
        assert value.isascii()
    assert "x-injected" not in hostile.headers
    saved = hostile.headers.get("content-disposition")
    assert saved is None or SAVED.fullmatch(saved)


def test_the_hostile_words_do_come_out(farms):
    # All of the above would pass as well if nothing that was written were ever shown.
    shown = {
        kind: "".join(
            farms[0].asked(name, path, kind).text for name, path, other in FORMS if other == kind
        )
        for kind in ("text/html", "text/csv", "application/json", "text/calendar", "image/svg+xml")
    }
    for kind, text in shown.items():
        assert MARK in text, kind
    for text in HOSTILE:
        assert json.dumps(text, ensure_ascii=False)[1:-1] in shown["application/json"], text
