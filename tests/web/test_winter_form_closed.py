"""What opens no form of a winter, and what its pages never show."""

import logging

import pytest

from service.demo import demo_document
from service.scenarios.tokens import SHOWN_LETTERS, new_token
from service.web.pages_winter.reading import LARGEST_FORM
from tests.web.form_read import FORM, FormPage
from tests.web.winter_told import WAY, Phone, filled

SPOILED = "<script>alert(1)</script>\u202e&\"'"


@pytest.fixture
def phone(app):
    return Phone(app)


@pytest.mark.parametrize(
    ("of", "status", "words"),
    [
        ("nothing", 401, "Paste the edit link"),
        ("mistyped", 401, "mistyped or cut off"),
        ("unknown", 401, "never was"),
        ("revoked", 401, "was revoked"),
        ("expired", 401, "has expired"),
        ("read", 403, "only reads"),
        ("key", 403, "use an edit link"),
        ("binned", 404, "lies in the bin"),
    ],
)
def test_what_is_no_edit_link_opens_nothing_and_saves_nothing(phone, of, status, words):
    pairs = filled(phone.form(), {"bales_fed": "402"})
    token = {
        "nothing": "",
        "mistyped": phone.token[:-1],
        "unknown": new_token("edit_link"),
        "read": phone.kept.link(phone.scenario),
        "key": phone.kept.keys["admin"],
    }.get(of, phone.token)
    path = f"/v1/scenarios/{phone.scenario}"
    if of == "revoked":
        links = phone.kept.get(f"{path}/links").json()["items"]
        for link in links:
            phone.kept("DELETE", f"{path}/links/{link['id']}", "write")
    elif of == "expired":
        phone.kept.clock.forward(days=91)
    elif of == "binned":
        phone.kept("DELETE", path, "write", headers={"If-Match": '"1"'})
    for answer in (phone.open(token), phone.post({**pairs, "code": token})):
        assert answer.status_code == status
        page = FormPage(answer.text)
        assert words in page.text
        assert page.all_of("input", name="code")[0].get("value") is None
        assert not page.all_of("input", name="bales_fed")
        assert (answer.headers.get("www-authenticate") is not None) == (status == 401)
        if token:
            assert token[: SHOWN_LETTERS + 1] not in answer.text
    if of != "binned":
        assert phone.recorded() == []


def test_the_token_stands_in_hidden_fields_of_the_form_and_nowhere_else(phone, caplog):
    caplog.set_level(logging.DEBUG)
    shown = phone.token[: SHOWN_LETTERS + 1]
    other = phone.kept.link(phone.scenario, "edit")
    told = {"remark": f"my link: {other}", "worst_weeks": f"#{phone.token}"}
    answers = [
        phone.kept.get("/winter", None),
        phone.open(),
        phone.open(phone.token[:-3]),
        phone.save(bales_fed=phone.token),
        phone.save(bales_fed="402", **told),
    ]
    for answer in answers:
        assert other not in answer.text
        for name, value in answer.headers.multi_items():
            assert shown not in name + value
        page = FormPage(answer.text)
        assert shown not in page.text
        assert shown not in "".join(page.texts["title"])
        hidden = [found for _, found in page.elements if shown in str(found)]
        assert all(
            (found["type"], found["name"], found["value"]) == ("hidden", "code", phone.token)
            for found in hidden
        )
        assert answer.text.count(shown) == len(hidden)
    assert phone.token not in str(phone.recorded())
    assert shown not in caplog.text


def test_a_code_in_the_address_is_not_taken(phone):
    for name in ("code", "token"):
        answer = phone.kept.call("GET", f"/winter?{name}={phone.token}")
        assert phone.token[: SHOWN_LETTERS + 1] not in answer.text
        assert "as it was" in answer.text
        assert not FormPage(answer.text).all_of("input", name="bales_fed")


def test_titles_are_text_whatever_they_hold(app):
    document = demo_document()
    document["name"] = SPOILED
    document["systems"][WAY]["title"] = SPOILED
    document["herd"]["cows"]["title"] = SPOILED
    document["land"]["fields"]["ridge"]["title"] = SPOILED
    phone = Phone(app, document)
    saved = phone.save(system=WAY, days__by_the_ground__bales="9", remark=SPOILED)
    assert saved.status_code == 200
    for answer in (phone.open(), phone.save(bales_fed=SPOILED), saved):
        page = FormPage(answer.text)
        assert page.tags.count("script") == 1
        assert "alert(1)</script>" not in answer.text
        assert "\u202e" not in answer.text
        assert "<script>alert(1)</script>" in page.text


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"x=" + b"y" * LARGEST_FORM, 413),
        (b"&".join(b"a%d=1" % number for number in range(2_001)), 413),
        (b"\xff\xfe=\xff&%zz=%", 401),
        (b"", 401),
    ],
)
def test_a_form_of_no_form_is_refused_or_taken_for_what_it_is(phone, body, status):
    answer = phone.kept.call("POST", "/winter", content=body, headers=FORM)
    assert answer.status_code == status


def test_a_body_of_another_type_is_refused(phone):
    assert phone.kept.call("POST", "/winter", json={}).status_code == 415


def test_a_look_at_the_headers_is_answered(phone):
    answer = phone.kept.call("HEAD", "/winter")
    assert (answer.status_code, answer.content) == (200, b"")
