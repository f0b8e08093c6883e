"""The ten questions as a form: what it asks and keeps, what it ends on, what it never shows."""

import base64
import hashlib
import logging
import re

import pytest

from service.costing.engine import cost
from service.costing.result import costing_document
from service.quick_start import filled, questions, three_guesses
from service.scenarios.tokens import SHOWN_LETTERS, new_token
from service.web.pages_start.form_fields import form_fields
from service.web.pages_start.sent_sheet import LARGEST_FORM
from service.web.reading import scenario_of
from tests.quick_start.answering import WHETSTONE
from tests.support.offices import small_document
from tests.web.form_read import FORM, FormPage, sent, typed
from tests.web.keeping import Keeping

LARGEST_PAGE = 200_000
TEN = typed(WHETSTONE)


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture(scope="module")
def empty(call):
    return FormPage(call.get("/start").text)


@pytest.fixture(scope="module")
def demo(call):
    return sent(call, TEN)


def faulty(call, *pairs):
    answer = sent(call, list(pairs))
    assert answer.status_code == 422, answer.text
    return FormPage(answer.text)


def test_every_question_and_every_part_is_asked_in_its_words(empty):
    legends = " ".join("".join(empty.texts["legend"]).split())
    for question in questions():
        assert question["ask"] in legends
        assert question["why"] in empty.text
        assert question["if_not_sure"] in empty.text
        for part in question["parts"]:
            if part["kind"] != "fields":
                assert part["ask"] in empty.text
            if part["usual"] is not None:
                assert part["source"] in empty.text
    names = {name for name, _ in empty.pairs()} | {
        found["name"] for found in empty.all_of("input", type="checkbox")
    }
    assert names == {*form_fields(), "sheet", "farm"}


def test_each_part_can_be_left_as_not_sure(empty):
    for name, field in form_fields().items():
        if field.widget == "picked" and "fields" not in name:
            (radio,) = empty.all_of("input", name=name, value="")
            assert "checked" in radio
        elif field.widget == "typed":
            (box,) = empty.all_of("input", name=name)
            assert (box["placeholder"], box["value"]) == ("not sure", "")
    assert {text for name, text in empty.pairs() if name != "sheet"} == {""}


def test_each_field_has_a_label_and_what_describes_it_is_there(empty):
    # HTML, section 4.10.4; WAI-ARIA 1.2, aria-describedby.
    for field in empty.unlabelled:
        assert empty.labels[field].strip()
    ids = [found["id"] for _, found in empty.elements if "id" in found]
    assert len(set(ids)) == len(ids)
    for _, found in empty.elements:
        for name in (found.get("aria-describedby") or "").split():
            assert empty.by_id[name].strip()
    assert empty.tags.count("legend") == empty.tags.count("fieldset")


def test_the_form_works_without_scripts_and_loads_nothing(call, empty):
    answer = call.get("/start")
    assert set(empty.tags).isdisjoint({"script", "img", "iframe", "object", "base"})
    assert [found["href"] for found in empty.all_of("link")] == ["data:,"]
    assert not [key for _, found in empty.elements for key in found if key.startswith("on")]
    assert empty.all_of("form", method="post", action="/start")
    (style,) = re.findall(r"<style>(.*?)</style>", answer.text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = answer.headers["content-security-policy"]
    # CSP level 3: an inline style by its digest; a form to its own host alone.
    assert f"style-src 'sha256-{digest}'" in policy
    assert "form-action 'self'" in policy
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert answer.headers["cache-control"] == "no-store"
    assert len(answer.content) < LARGEST_PAGE


def test_a_look_at_the_headers_is_answered(call):
    answer = call("HEAD", "/start")
    assert (answer.status_code, answer.content) == (200, b"")


def test_where_nothing_is_kept_no_key_is_asked_for(call, empty):
    assert not empty.all_of("input", name="key")
    assert "Nothing is kept." in empty.text
    answer = faulty(call, ("key", "x"))
    assert "No farms are kept here" in answer.text


def test_with_nothing_answered_there_is_a_page_that_says_what_was_guessed(call):
    answer = sent(call, FormPage(call.get("/start").text).pairs())
    assert answer.status_code == 200
    page = FormPage(answer.text)
    quick_start = filled({}, scenario_of)
    assert f"We guessed {len(quick_start.guessed)} things for you." in page.text
    for guess in quick_start.guessed:
        assert " ".join(guess["sentence"].split()) in page.text
    for guess in three_guesses(quick_start, scenario_of):
        assert guess["meaning"].rstrip(".") in page.text
        assert guess["find_out"] in page.text
    for system in quick_start.systems:
        assert system["why"] in page.text
        assert quick_start.document["systems"][system["key"]]["title"] in page.text
    assert "Not kept." in page.text


def test_the_ten_answers_of_the_demo_end_on_their_farm(demo):
    assert demo.status_code == 200
    page = FormPage(demo.text)
    quick_start = filled(WHETSTONE, scenario_of)
    document = quick_start.document
    costing = costing_document(cost(scenario_of(document)), given=document)
    year = re.compile(r'data-figure="year" data-system="(\w+)"[^>]*>([\d,]+)')
    shown = dict(year.findall(demo.text))
    assert len(shown) == len(document["systems"])
    for system in costing["systems"]:
        amount = int(shown[system["system"]].replace(",", ""))
        assert abs(amount - system["annual_equivalent_cost"]) <= 50.000001
    for need in quick_start.needs:
        assert need in page.text
    for note in quick_start.notes:
        assert note["note"] in page.text
    assert len(demo.content) < LARGEST_PAGE


def test_what_stands_around_the_farms_page_is_not_printed(demo):
    page = FormPage(demo.text)
    assert [form.get("class") for form in page.all_of("form")] == ["unprinted"]
    assert "script" not in page.tags
    assert page.tags.count("main") == page.tags.count("h1") == 1
    assert "form-action 'self'" in demo.headers["content-security-policy"]


def test_answers_can_be_changed_from_the_page_they_end_on(call, demo):
    carried = FormPage(demo.text).pairs()
    again = sent(call, [*carried, ("again", "yes")])
    assert again.status_code == 200
    form = FormPage(again.text)
    typed_in = {name: text for name, text in form.pairs() if text}
    assert {name: text for name, text in TEN if name != "wishes.better"}.items() <= typed_in.items()
    ticked = [found["value"] for found in form.all_of("input", type="checkbox", checked=None)]
    assert [one for one in ticked if one in WHETSTONE["wishes"]["better"]]
    assert typed_in["sheet"] == dict(carried)["sheet"]


def test_faults_stand_beside_their_fields_and_all_that_was_typed_is_kept(call):
    page = faulty(
        call,
        ("animals.cows", "many"),
        ("animals.cow_size", "big"),
        ("young.first_calf", "early_march"),
        ("hay.bale_weight", "1,5"),
        ("land.fields.2.acres", "-4"),
        ("land.fields.2.drains", "wet"),
        ("wishes.better", "less_time"),
        ("wishes.better", "less_mud"),
        ("farm", "Quillwort End"),
    )
    assert "3 things are to be put right" in page.text
    for name, word in (
        ("animals.cows", "is no number"),
        ("hay.bale_weight", "use a decimal point"),
        ("land.fields.2.acres", "out of range"),
    ):
        (field,) = page.all_of("input", name=name)
        assert field["aria-invalid"] == "true"
        described = [page.by_id[one] for one in field["aria-describedby"].split()]
        assert any(word in text for text in described)
        assert page.all_of("a", href=f"#{field['id']}")
    pairs = page.pairs()
    assert {
        ("animals.cows", "many"),
        ("animals.cow_size", "big"),
        ("young.first_calf", "early_march"),
        ("hay.bale_weight", "1,5"),
        ("land.fields.2.acres", "-4"),
        ("land.fields.2.drains", "wet"),
        ("wishes.better", "less_time"),
        ("wishes.better", "less_mud"),
        ("farm", "Quillwort End"),
    } <= set(pairs)
    assert "".join(page.texts["title"]).startswith("To put right: 3.")
    assert page.all_of("div", role="alert")


def test_answers_that_gainsay_each_other_are_told_at_their_question(call):
    page = faulty(
        call,
        ("ground.frozen", "8"),
        ("ground.snow", "1"),
        ("ground.firm", "1"),
        ("ground.soft", "1"),
    )
    assert "11 days; they must add to ten" in page.by_id["q-ground"]
    assert page.all_of("fieldset", id="q-ground")[0]["aria-invalid"] == "true"
    assert page.all_of("a", href="#q-ground")


def test_what_the_form_does_not_ask_is_told(call):
    page = faulty(call, ("animals.cow", "3"), ("nothing", "x"), ("land.fields", "x"))
    assert "did you mean animals.cows" in page.text
    assert "no field 'nothing' on the form" in page.text
    assert "no field 'land.fields'" in page.text


@pytest.mark.parametrize("text", ["12 000", "1,250", "$51", "not sure", "?", "  ", "Don't know"])
def test_numbers_are_read_as_people_write_them(call, text):
    answer = sent(call, [("hay.price_per_bale", text), ("wishes.money", text)])
    assert answer.status_code == (422 if text == "12 000" else 200)


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"x=" + b"y" * LARGEST_FORM, 413),
        (b"&".join(b"a%d=1" % number for number in range(201)), 413),
        (b"\xff\xfe=\xff&%zz=%", 422),
        (b"", 200),
    ],
)
def test_a_form_of_no_form_is_refused_or_taken_for_what_it_is(call, body, status):
    answer = call("POST", "/start", content=body, headers=FORM)
    assert answer.status_code == status


def test_a_body_of_another_type_is_refused(call):
    assert call("POST", "/start", json={}).status_code == 415


HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</main></header></style><b>bold",
    "{{ 7 * 7 }}{% raw %}",
    "=1+1",
    "x" * 4000,
    "\u202eesrever\u2066 \u05d0\u05d1",
    "&lt;i&gt; & <!-- ",
    "\x00\x1b[31m",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_field_of_the_form_is_text_whatever_it_holds(call, text):
    everywhere = [(name, text[:700]) for name in form_fields()]
    names = [("land.fields.1.name", text[:60]), ("land.fields.1.acres", "5")]
    for pairs in (everywhere, names):
        answer = sent(call, [*pairs, ("farm", text[:200])])
        page = FormPage(answer.text)
        assert set(page.tags).isdisjoint({"script", "img", "b", "i"})
        assert not [key for _, found in page.elements for key in found if key.startswith("on")]
        assert page.tags.count("main") == page.tags.count("style") == 1
        assert not set("\x00\x1b\u202e\u2066") & set(answer.text)
        assert len(answer.content) < LARGEST_PAGE


def test_a_farm_is_kept_with_a_key_and_the_page_links_to_it(kept):
    answer = sent(kept.call, [*TEN, ("farm", "Quillwort End"), ("key", kept.keys["write"])])
    assert answer.status_code == 200
    page = FormPage(answer.text)
    assert "Kept as revision 1." in page.text
    (scenario,) = kept.get("/v1/scenarios").json()["items"]
    assert scenario["name"] == "Quillwort End"
    stored = kept.get(f"/v1/scenarios/{scenario['id']}").json()
    document = stored["document"]
    assert {name: document[name] for name in ("herd", "land", "hay", "systems")} == {
        name: filled(WHETSTONE, scenario_of).document[name]
        for name in ("herd", "land", "hay", "systems")
    }
    assert stored["remark"] == "From the ten questions"
    (link,) = [one["href"] for one in page.all_of("a") if "/s/" in one["href"]]
    opened = kept.get(link.removeprefix("http://winterground"), None)
    assert opened.status_code == 200
    assert "Quillwort End" in opened.text
    assert not page.all_of("form", id="keep")


def test_a_farm_can_be_kept_from_the_page_it_was_shown_on(kept):
    shown = FormPage(sent(kept.call, TEN).text)
    assert "Not kept." in shown.text
    (key,) = shown.all_of("input", name="key")
    assert (key["type"], key["autocomplete"], key.get("value")) == ("password", "off", None)
    carried = {name: text for name, text in shown.pairs() if name != "key"}
    answer = sent(kept.call, [*carried.items(), ("key", kept.keys["write"])])
    assert "Kept as revision 1." in FormPage(answer.text).text
    assert len(kept.get("/v1/scenarios").json()["items"]) == 1


def test_the_same_sheet_sent_twice_is_kept_once_and_another_sheet_anew(kept):
    sheets = [dict(FormPage(kept.get("/start", None).text).pairs())["sheet"] for _ in range(2)]
    assert sheets[0] != sheets[1]
    for sheet in (sheets[0], sheets[0], sheets[1]):
        pairs = [("animals.cows", "40"), ("sheet", sheet), ("key", kept.keys["write"])]
        assert "Kept as revision 1." in FormPage(sent(kept.call, pairs).text).text
    assert len(kept.get("/v1/scenarios").json()["items"]) == 2
    changed = [("animals.cows", "41"), ("sheet", sheets[0]), ("key", kept.keys["write"])]
    assert sent(kept.call, changed).status_code == 200
    assert len(kept.get("/v1/scenarios").json()["items"]) == 3


def test_an_edit_link_puts_the_answers_in_the_place_of_its_farm(kept):
    scenario = kept.stored(small_document(name="Larkspur Bottom"))
    before = kept.get(f"/v1/scenarios/{scenario}").json()
    token = kept.link(scenario, "edit")
    answer = sent(kept.call, [("animals.cows", "44"), ("key", token)])
    page = FormPage(answer.text)
    assert "Kept as revision 2." in page.text
    assert not [one for one in page.all_of("a") if "/s/" in one["href"]]
    now = kept.get(f"/v1/scenarios/{scenario}").json()
    assert now["document"]["herd"]["cows"]["head"] == 44
    assert (now["name"], now["external_id"]) == (before["name"], before["external_id"])
    first = kept.get(f"/v1/scenarios/{scenario}/revisions/1").json()
    assert first["document"] == before["document"]
    named = [("animals.cows", "44"), ("farm", "Quillwort End"), ("key", token)]
    assert "Kept as revision 3." in FormPage(sent(kept.call, named).text).text


def test_what_only_reads_gets_the_page_and_is_told_that_nothing_was_kept(kept):
    scenario = kept.stored()
    for token in (kept.keys["read"], kept.link(scenario)):
        answer = sent(kept.call, [("animals.cows", "44"), ("key", token)])
        assert answer.status_code == 200
        assert "only reads" in FormPage(answer.text).text
    assert len(kept.get("/v1/scenarios").json()["items"]) == 1


def test_an_edit_link_of_what_lies_in_the_bin_keeps_nothing_but_shows_the_page(kept):
    scenario = kept.stored()
    token = kept.link(scenario, "edit")
    kept("DELETE", f"/v1/scenarios/{scenario}", "write", headers={"If-Match": "*"})
    answer = sent(kept.call, [("animals.cows", "44"), ("key", token)])
    assert answer.status_code == 200
    page = FormPage(answer.text)
    assert "Not kept. The farm that this link opened is gone" in page.text
    assert page.all_of("form", id="keep")


def test_a_key_that_opens_nothing_is_told_beside_its_field(kept):
    for token, words in (("wfk_x", "mistyped or cut off"), (new_token("key"), "never made")):
        answer = sent(kept.call, [("animals.cows", "44"), ("key", token)])
        assert answer.status_code == 401
        # RFC 9110, section 15.5.2: 401 comes with a challenge.
        assert "Bearer" in answer.headers["WWW-Authenticate"]
        page = FormPage(answer.text)
        assert words in page.by_id["e-f-key"]
        assert ("animals.cows", "44") in page.pairs()
        assert page.all_of("input", name="key")[0].get("value") is None
    assert kept.get("/v1/scenarios").json()["items"] == []


def test_where_costing_needs_a_key_so_does_the_form(kept):
    kept.app.state.open_costing = False
    try:
        form = kept.get("/start", None)
        assert form.status_code == 200
        assert "no farm is costed without one" in FormPage(form.text).text
        assert sent(kept.call, [("animals.cows", "44")]).status_code == 401
        assert sent(kept.call, [("key", kept.keys["read"])]).status_code == 200
    finally:
        kept.app.state.open_costing = True


def test_a_name_that_cannot_be_kept_is_told_beside_its_field(kept):
    for name in ("x" * 201, "Larkspur\x07Bottom"):
        answer = sent(kept.call, [("farm", name), ("key", kept.keys["write"])])
        page = FormPage(answer.text)
        if answer.status_code == 200:
            assert len(kept.get("/v1/scenarios").json()["items"][0]["name"]) <= 200
        else:
            assert answer.status_code == 422
            assert "control characters" in page.by_id["e-f-farm"]


def test_no_token_comes_back_whatever_field_it_was_typed_into(kept, caplog):
    caplog.set_level(logging.DEBUG)
    scenario = kept.stored()
    tokens = (kept.keys["write"], kept.link(scenario, "edit"), kept.link(scenario))
    for token in tokens:
        shown = token[: SHOWN_LETTERS + 1]
        for pairs in (
            [("key", token)],
            [("key", f"{token}x")],
            [("animals.cows", token), ("key", token)],
            [("farm", token)],
            [("sheet", token)],
            [("land.fields.1.name", token), ("land.fields.1.acres", "5")],
            [(token, "1")],
            [("x" * 190 + token, "1"), ("animals.cows", "x" * 190 + token)],
            [("animals.cows", token), ("again", "yes")],
        ):
            answer = sent(kept.call, pairs)
            assert shown not in answer.text
            assert not [value for value in answer.headers.values() if shown in value]
        assert shown not in caplog.text
    for item in kept.get("/v1/scenarios").json()["items"]:
        stored = kept.get(f"/v1/scenarios/{item['id']}").text
        assert not [token for token in tokens if token[: SHOWN_LETTERS + 1] in stored]
