"""The page of what the service was held against: complete, escaped, readable, and to be done again.

Rules of the page itself stand with its Markdown, in ``tests/validation/test_markdown.py``.
"""

import gzip
import json
import socket
import threading
import time

import pytest
import uvicorn

from service.trust import wording
from service.trust.gaps import not_rebuilt, unchecked
from service.trust.listing import UnknownDocumentError, line_of
from service.trust.records import CLAIMS, Case, Line, published_cases
from service.trust.review_records import GRADES, reference_review
from service.web.app import create_app
from service.web.pages_trust.trust_page import trust_page
from tests.web.browser import Browser, browser_path
from tests.web.page_read import Page
from tests.web.test_accessible_pages import RULES, axe

CASES = published_cases()
REVIEW = reference_review()
ADDRESSES = {"/trust": "text/html", "/trust.md": "text/markdown", "/trust.json": "application/json"}
EVIL = "<script>alert(1)</script> \u202eKcab & \"Farm'"
WIDTHS = (390, 1280)


@pytest.fixture(scope="module")
def shown():
    return Page(trust_page(CASES, REVIEW))


def one_line(text):
    return " ".join(text.split())


def rows_of(page):
    return [[one_line(cell) for cell in row] for table in page.rows for row in table]


def case(**more):
    line = Line(
        "Cost", "100", 90.0, "USD", 99.0, 101.0, allowed="1 %", why="left out", document="farm"
    )
    given = {
        "key": "X1",
        "title": "Hay",
        "source": "A sheet",
        "claim": "reproduces_arithmetic",
        "put_in": (),
        "lines": (line,),
        "shows": "Little.",
        "documents": {"farm": {}},
    }
    return Case(**(given | more))


def lines_with_numbers():
    return [(found, number, line) for found in CASES for number, line in enumerate(found.lines, 1)]


def test_every_line_of_every_case_is_shown_with_print_and_engine(shown):
    rows = rows_of(shown)
    for _, number, line in lines_with_numbers():
        figures = [
            one_line(line.printed),
            wording.with_unit(line.engine, line.unit),
            wording.difference(line),
        ]
        start = f"{number} {one_line(line.what)}"
        assert any(row[0].startswith(start) and row[1:] == figures for row in rows), line.what
        assert one_line(line.why) in shown.text


def test_every_line_has_a_place_of_its_own(shown):
    ids = shown.ids()
    assert len(set(ids)) == len(ids)
    assert {f"{found.key}-{number}" for found, number, _ in lines_with_numbers()} <= set(ids)


def test_sources_gaps_and_definitions_are_told(shown):
    for found in CASES:
        for words in (found.source, found.shows, *found.misprints, *found.not_printed):
            assert one_line(words) in shown.text
    for each in (*unchecked(), *not_rebuilt()):
        assert one_line(each.what) in shown.text
        assert one_line(each.why) in shown.text
    for claim, found in wording.by_claim(CASES):
        assert shown.text.index(CLAIMS[claim]) < shown.text.index(wording.counted(found))


def test_every_reference_value_is_shown(shown):
    led_to = [value for name, value in shown.attributes if name == "href"]
    for value in REVIEW.values:
        assert led_to.count(f"/v1/reference-values/{value.key}") == 1
    assert [row[1] for row in rows_of(shown) if row[0].startswith("Assumption")] == [
        str(REVIEW.count("assumption"))
    ]


def test_lines_that_do_not_agree_are_never_folded():
    bad = tuple(Line(f"Bad {number}", "1", 2.0, "lb", 1.0, 1.0, why="no") for number in range(20))
    good = tuple(Line(f"Good {number}", "1", 1.0, "lb", 1.0, 1.0) for number in range(20))
    text = trust_page((case(lines=(*good, *bad)),), REVIEW)
    fold = text.index("<details")
    assert text.index("Bad 0") < text.index("Bad 19") < fold < text.index("Good 0")


def test_nothing_is_taken_for_markup():
    line = Line(EVIL, EVIL, EVIL, EVIL, allowed=EVIL, why=EVIL)
    told = case(title=EVIL, source=EVIL, shows=EVIL, misprints=(EVIL,), lines=(line,))
    page = Page(trust_page((told,), REVIEW))
    assert "script" not in page.tags
    assert "\u202e" not in page.text
    assert "<script>alert(1)</script>" in page.text


@pytest.mark.parametrize("path", ADDRESSES)
def test_it_is_public_and_kept_by_caches_until_it_changes(call, path):
    answer = call.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"].partition(";")[0] == ADDRESSES[path]
    assert answer.headers["cache-control"] == "public, max-age=300"
    assert "set-cookie" not in answer.headers
    again = call.get(path, **{"If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert call.get(path, **{"If-None-Match": '"other"'}).status_code == 200
    assert call("HEAD", path).status_code == 200


@pytest.mark.parametrize("path", ADDRESSES)
def test_it_is_packed_for_whoever_takes_it_so(call, path):
    plain = call.get(path, **{"Accept-Encoding": "identity"})
    packed = call.get(path, **{"Accept-Encoding": "gzip"})
    assert "content-encoding" not in plain.headers
    assert packed.headers["content-encoding"] == "gzip"
    assert packed.content == plain.content  # the client unpacks it
    assert int(packed.headers["content-length"]) < len(gzip.compress(plain.content)) * 1.1
    assert packed.headers["etag"] != plain.headers["etag"]
    assert packed.headers["vary"] == "Accept-Encoding"


def test_the_page_loads_and_runs_nothing(call):
    answer = call.get("/trust")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    page = Page(answer.text)
    assert not {"script", "img", "iframe", "form"} & set(page.tags)
    addresses = [value for name, value in page.attributes if name in {"href", "src"}]
    assert all(address.startswith(("#", "/", "data:,")) for address in addresses)


def test_the_records_are_whole_and_counted_by_claim(call):
    body = call.get("/trust.json").json()
    assert [found["key"] for found in body["cases"]] == [found.key for found in CASES]
    for claim, counts in body["counts"].items():
        lines = [
            line for found in body["cases"] if found["claim"] == claim for line in found["lines"]
        ]
        for outcome in wording.OUTCOMES:
            assert counts[outcome] == sum(line["outcome"] == outcome for line in lines)
    assert len(body["review"]["values"]) == len(REVIEW.values)
    assert list(body["grades"]) == list(GRADES)


def cost(system):
    return system["annual_equivalent_cost"]


def part(system, *names):
    return sum(line["annual_equivalent"] for line in system["lines"] if line["line"] in names)


AGAIN = {
    ("V02", 1): lambda system: cost(system("hay")) - cost(system("grass_first")),
    ("V02", 26): lambda system: cost(system("hay")) - cost(system("grass_first")),
    ("V02", 48): lambda system: cost(system("hay")) - cost(system("grass_first")),
    ("R08", 1): lambda system: system("hay")["quantities"]["hay_needed_ton"],
    ("R08", 2): lambda system: part(system("hay"), "hay_eaten", "hay_wasted"),
    ("V05", 5): lambda system: 100 * (cost(system("cone")) / cost(system("shredded")) - 1),
}
"""How some lines come from an answer, by case and number, as the case says it."""


@pytest.mark.parametrize(("key", "number"), AGAIN)
def test_a_document_of_the_page_costs_what_is_shown(call, key, number):
    found = next(each for each in CASES if each.key == key)
    line = found.lines[number - 1]
    sent = call.get(f"/trust/documents/{key}/{line.document}.json?line={number}").json()
    answer = call("POST", "/v1/costings", json=sent)
    assert answer.status_code == 200, answer.text
    systems = {each["system"]: each for each in answer.json()["systems"]}
    assert AGAIN[key, number](systems.__getitem__) == pytest.approx(line.engine, rel=1e-9)


@pytest.mark.parametrize("found", CASES, ids=lambda each: each.key)
def test_every_document_is_there_and_can_be_costed(call, found, shown):
    led_to = [value for name, value in shown.attributes if name == "href"]
    for name in found.documents:
        path = wording.path_of(found, name)
        assert path in led_to
        assert f'"$WINTERGROUND{path}"' in shown.text
        assert call("POST", "/v1/costings", json=call.get(path).json()).status_code == 200
        bare = call.get(path.partition("?")[0]).json()
        assert bare == {"document": found.documents[name]}


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("V99/farm.json", "There is no case 'V99'"),
        ("V02/farm.json", "Case V02 has no document 'farm'. There are: an_acre."),
        ("V02/an_acre.json?line=999", "Document an_acre of case V02 has no line 999"),
    ],
)
def test_what_is_not_there_is_told_with_what_is(call, path, said):
    answer = call.get(f"/trust/documents/{path}")
    assert answer.status_code == 404
    assert said in answer.json()["detail"]


@pytest.mark.parametrize("line", ["0", "x", "-1"])
def test_a_line_is_a_number(call, line):
    answer = call.get(f"/trust/documents/V02/an_acre.json?line={line}")
    assert answer.status_code in {400, 422}


def test_a_line_of_another_document_is_not_taken():
    with pytest.raises(UnknownDocumentError, match="There are: none"):
        line_of(case(documents={"farm": {}, "other": {}}), "other", 1)


def test_the_farm_page_leads_to_it(keeping, farm):
    link = keeping.link(keeping.stored(farm))
    page = Page(keeping("GET", f"/s/{link}", None).text)
    assert ("href", "/trust") in page.attributes


@pytest.fixture(scope="module")
def address():
    browser_path()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    config = uvicorn.Config(create_app(), port=port, log_level="error", lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"http://127.0.0.1:{port}/trust"
    server.should_exit = True
    thread.join()


@pytest.fixture(scope="module")
def browser():
    with Browser(browser_path()) as found:
        yield found


@pytest.mark.parametrize("width", WIDTHS)
def test_it_fits_its_screen_and_breaks_no_rule(browser, address, width):
    # WCAG 2.2, success criterion 1.4.10 (reflow), and the rules of axe-core.
    browser.open(address, width)
    assert browser.said == []
    for state in ("false", "true"):
        browser.tell(f"document.querySelectorAll('details').forEach(one => one.open = {state})")
        assert browser.tell("document.documentElement.scrollWidth <= window.innerWidth")
    browser.tell("document.querySelectorAll('details.values').forEach(one => one.open = false)")
    browser.tell(f"{axe()}; true")
    options = json.dumps({"runOnly": RULES, "resultTypes": ["violations"]})
    browser.tell(
        f"axe.run(document, {options}).then(found => {{ window.found = found.violations }}); true"
    )
    browser.wait_for("window.found !== undefined")
    found = browser.tell(
        "JSON.stringify(window.found.map(rule => [rule.id, rule.nodes[0].html.slice(0, 200)]))"
    )
    assert json.loads(found) == []
