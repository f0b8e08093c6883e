"""The annexes over HTTP: forms, access, faults, hostile names, and every farm without an error."""

import base64
import csv
import hashlib
import io
import json
import math
import re
import sys
from importlib.util import find_spec
from types import SimpleNamespace

import pytest

from service.demo import demo_document
from service.web.annexes.annex import COLUMNS
from service.web.app import create_app
from service.web.routes import annexes
from tests.support.offices import small_document
from tests.web.annexed import Seen, annex, subject_of
from tests.web.conftest import FARMS
from tests.web.keeping import Keeping

READERS = ("engineer", "lender")
WORKED = ("worked_farm", "worked_farm_rows", "worked_farm_edges")
HOSTILE = (
    "=1+1",
    "<script>alert(1)</script>",
    "\u202ereversed\u202c",
    '"><img src=x onerror=alert(1)>',
    "@SUM(A1)",
)


@pytest.fixture(scope="module")
def app():
    made = create_app()
    if not any("annex.html" in str(getattr(route, "path", "")) for route in made.routes):
        made.include_router(annexes.router)
    return made


@pytest.fixture(scope="module")
def kept(app):
    return Keeping(app)


@pytest.fixture(scope="module")
def demo(kept):
    return kept.stored(demo_document())


def _get(kept, scenario, suffix, query, by="read"):
    return kept.get(f"/v1/scenarios/{scenario}/annex.{suffix}?{query}", by)


def _rows(text):
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize("reader", READERS)
def test_json_page_and_csv_say_the_same(kept, demo, reader):
    query = f"reader={reader}&system=roofed_pad"
    told = _get(kept, demo, "json", query).json()
    rows = _rows(_get(kept, demo, "csv", query).text)
    page = Seen(_get(kept, demo, "html", query).text)
    assert tuple(rows[0]) == COLUMNS
    lines = [
        (block["block"], item["line"], item["about"], item["value"])
        for block in told["blocks"]
        for item in block["items"]
    ]
    listed = [row for row in rows if row["block"] != "annex" and row["line"] != "remark"]
    assert len(listed) == len(lines)
    for row, (block, line, about, value) in zip(listed, lines, strict=True):
        assert (row["block"], row["line"], row["about"]) == (block, line, about)
        if isinstance(value, int | float):
            assert math.isclose(float(row["value"]), value, rel_tol=1e-12)
    assert told["title"] in page.text
    for block in told["blocks"]:
        assert block["title"] in page.headings


def test_the_numbers_on_the_page_are_those_of_the_costing(kept, demo):
    page = Seen(_get(kept, demo, "html", "reader=engineer&system=roofed_pad").text)
    costing = kept.get(f"/v1/scenarios/{demo}/costing", "read").json()
    system = next(one for one in costing["systems"] if one["system"] == "roofed_pad")
    for structure in system["structures"]:
        (row,) = [row for row in page.rows if row[0] == structure["title"] and len(row) == 7]
        assert abs(float(row[5].replace(",", "")) - structure["cost"]) <= 0.5
    loads = re.search(r"Loads, mean winter: ([\d.]+) load", page.text)
    assert loads
    assert abs(float(loads[1]) - system["quantities"]["manure_loads"]) <= 0.5
    lender = Seen(_get(kept, demo, "html", "reader=lender&system=roofed_pad").text)
    annual = re.search(r"Annual cost, all told: ([\d,]+) USD/year", lender.text)
    assert annual
    assert abs(float(annual[1].replace(",", "")) - system["annual_equivalent_cost"]) <= 0.5


@pytest.mark.parametrize("reader", READERS)
def test_the_page_loads_nothing_runs_nothing_and_is_not_kept(kept, demo, reader):
    answer = _get(kept, demo, "html", f"reader={reader}")
    page = Seen(answer.text)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    assert set(page.tags).isdisjoint({"script", "img", "iframe", "form", "object", "a", "base"})
    assert [value for name, value in page.attributes if name in {"src", "href"}] == ["data:,"]
    assert not [name for name, _ in page.attributes if name.startswith("on") or name == "style"]
    (style,) = re.findall(r"<style>(.*?)</style>", answer.text, re.DOTALL)
    assert "url(" not in style
    assert "@import" not in style
    # CSP level 3, section 8.4: an inline style is allowed by the digest of its text.
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}';" in answer.headers["content-security-policy"]
    assert ("lang", "en") in page.attributes
    assert page.tags.count("h1") == 1
    assert len(answer.content) < 100_000


@pytest.mark.parametrize("reader", READERS)
def test_both_defer_to_local_codes_and_say_what_they_are(kept, demo, reader):
    page = Seen(_get(kept, demo, "html", f"reader={reader}").text)
    told = _get(kept, demo, "json", f"reader={reader}").json()
    for text in (told["status"], told["disclaimer"], "Local codes and licensed practice"):
        assert text in page.text
    assert told["status"] == "Planning basis, needs field survey"
    assert "not an engineering design, a permit" in told["disclaimer"]


def test_what_is_not_named_is_the_best_that_builds_something(kept, demo):
    costing = kept.get(f"/v1/scenarios/{demo}/costing", "read").json()
    ranked = sorted(costing["systems"], key=lambda one: one["rank"])
    best = next(one["system"] for one in ranked if one["first_cost"] > 0)
    assert _get(kept, demo, "json", "reader=engineer").json()["system"] == best
    named = _get(kept, demo, "json", "reader=engineer&system=baseline").json()
    assert named["system"] == costing["comparison"]["baseline"]
    assert (
        _get(kept, demo, "json", "reader=engineer&system=best").json()["system"]
        == (costing["best_system"])
    )


def test_the_annex_names_scenario_and_revision(kept):
    scenario = kept.stored()
    told = _get(kept, scenario, "json", "reader=engineer").json()
    assert (told["scenario"], told["revision"]) == (scenario, 1)
    again = _get(kept, scenario, "json", "reader=engineer&revision=1").json()
    assert again == told
    assert _get(kept, scenario, "json", "reader=engineer&revision=2").status_code == 404


@pytest.mark.parametrize(
    ("query", "fault"),
    [
        ("reader=banker", "reader"),
        ("reader=lender&sytem=x", "sytem"),
        ("reader=lender&system=roofed_pat", "roofed_pad"),
        ("reader=lender&revision=0", "revision"),
    ],
)
def test_a_parameter_that_is_not_understood_is_named(kept, demo, query, fault):
    answer = _get(kept, demo, "html", query)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert fault in answer.text


@pytest.mark.parametrize("suffix", ["html", "json", "csv", "pdf"])
def test_an_annex_opens_to_those_who_may_read_the_scenario(kept, suffix):
    scenario = kept.stored()
    address = f"/v1/scenarios/{scenario}/annex.{suffix}?reader=engineer"
    assert kept.get(address, None).status_code == 401
    elsewhere = kept.get(address, kept.keys_elsewhere["admin"])
    unknown = kept.get(address.replace(scenario, "sc_none"), "read")
    assert elsewhere.status_code == unknown.status_code == 404
    link = kept.link(scenario)
    by_link = kept.get(f"{address}&token={link}", None)
    assert by_link.status_code == (406 if suffix == "pdf" and not _has_pdf() else 200)


def _has_pdf():
    return find_spec("weasyprint") is not None


def test_without_the_library_pdf_is_a_problem_that_says_what_to_do(kept, demo, monkeypatch):
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    answer = _get(kept, demo, "pdf", "reader=lender")
    assert answer.status_code == 406
    assert answer.json()["type"] == "/problems/pdf-not-installed"
    assert "winterground[pdf]" in answer.json()["detail"]
    assert "print it from the browser" in answer.json()["detail"]


def test_with_the_library_the_page_becomes_pdf_and_nothing_is_loaded(kept, demo, monkeypatch):
    seen = []

    class Document:
        def __init__(self, string, url_fetcher):
            seen.append(string)
            with pytest.raises(ValueError, match="nothing is loaded"):
                url_fetcher("https://elsewhere.example/x.png")

        def write_pdf(self):
            return b"%PDF-1.7"

    monkeypatch.setitem(sys.modules, "weasyprint", SimpleNamespace(HTML=Document))
    answer = _get(kept, demo, "pdf", "reader=engineer")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content == b"%PDF-1.7"
    assert "Basis of design" in seen[0]


@pytest.mark.skipif(not _has_pdf(), reason="WeasyPrint is not installed: pip install weasyprint")
@pytest.mark.parametrize("reader", READERS)
def test_the_library_itself_makes_pdf(kept, demo, reader):
    answer = _get(kept, demo, "pdf", f"reader={reader}")
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF")


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.parametrize("reader", READERS)
def test_hostile_names_are_text_and_no_more(kept, reader, hostile):
    document = small_document(name=hostile)
    for group in document["herd"].values():
        group["title"] = hostile
    for field in document["land"]["fields"].values():
        field["title"] = hostile
    for system in document["systems"].values():
        system["title"] = hostile
        for structure in system.get("structures", {}).values():
            structure["title"] = hostile
    scenario = kept.stored(document)
    page = Seen(_get(kept, scenario, "html", f"reader={reader}").text)
    assert set(page.tags).isdisjoint({"script", "img"})
    assert "\u202e" not in page.text
    assert hostile.replace("\u202e", "").replace("\u202c", "") in page.text
    for row in csv.reader(io.StringIO(_get(kept, scenario, "csv", f"reader={reader}").text)):
        for cell in row:
            assert not cell.lstrip(" ").startswith(("=", "+", "@"))
            assert not cell.startswith("-") or re.fullmatch(r"-[\d.e+-]+", cell)


def test_names_as_long_as_they_may_be_do_no_harm(kept):
    document = small_document(name="n" * 200)
    for system in document["systems"].values():
        system["title"] = "\u05d0" * 200
    scenario = kept.stored(document)
    for reader in READERS:
        assert Seen(_get(kept, scenario, "html", f"reader={reader}").text)
    document["name"] = "n" * 4000
    refused = kept("POST", "/v1/scenarios", "write", json=document)
    assert refused.status_code == 422


def test_two_structures_of_one_name_keep_rows_of_their_own():
    document = demo_document()
    structures = document["systems"]["by_the_ground"]["structures"]
    structures["mound"]["title"] = structures["pad"]["title"] = "Yard"
    found = annex("engineer", document, "by_the_ground")
    quantities = next(one for one in found["blocks"] if one["block"] == "quantities")["items"]
    names = {one["about"] for one in quantities if one["about"].startswith("Yard")}
    assert names == {"Yard (pad)", "Yard (mound)"}


@pytest.mark.parametrize("farm", WORKED)
@pytest.mark.parametrize("reader", READERS)
def test_every_system_of_the_worked_farms_has_an_annex(farm, reader):
    document = json.loads((FARMS / f"{farm}.json").read_text("utf-8"))
    for system in subject_of(document).body["systems"]:
        found = annex(reader, document, system["system"])
        text = json.dumps(found, allow_nan=False)
        assert json.loads(text) == found
        assert len({block["block"] for block in found["blocks"]}) == len(found["blocks"])


@pytest.mark.parametrize("reader", READERS)
def test_a_farm_that_takes_nothing_from_the_tables_has_an_annex(reader):
    document = json.loads((FARMS / "worked_farm.json").read_text("utf-8"))
    body = subject_of(document).body
    own = body["inputs_used"] | {"reference_edition": "none"}
    found = annex(reader, own)
    values = [
        one
        for block in found["blocks"]
        for one in block["items"]
        if one["input"].startswith("assumptions.")
    ]
    assert all(one["origin"] == "given" for one in values)


@pytest.mark.parametrize("reader", READERS)
def test_one_winter_and_a_short_horizon_are_enough(reader):
    document = demo_document()
    document["winter"]["rows"] = document["winter"]["rows"][:1]
    document["finance"]["horizon_years"] = 1
    found = annex(reader, document, "rock_pad")
    if reader == "lender":
        cash = next(one for one in found["blocks"] if one["block"] == "cash")
        assert {one["about"] for one in cash["items"]} == {"Year 0", "Year 1"}


def test_an_annex_says_the_same_twice(kept, demo):
    for reader in READERS:
        query = f"reader={reader}&system=by_the_ground"
        assert _get(kept, demo, "csv", query).content == _get(kept, demo, "csv", query).content


def test_dialects_of_the_table(kept, demo):
    europe = _get(kept, demo, "csv", "reader=lender&dialect=excel-eu")
    assert europe.content.startswith(b"\xef\xbb\xbf")
    assert ";" in europe.text.splitlines()[0]
    tabs = _get(kept, demo, "csv", "reader=lender&dialect=tsv")
    assert tabs.headers["content-type"].startswith("text/tab-separated-values")
    assert 'filename="annex-lender.tsv"' in tabs.headers["content-disposition"]
