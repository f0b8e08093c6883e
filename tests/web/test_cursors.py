"""Lists page by page: nothing missed, nothing twice, and a cursor that opens its own list alone."""

import re
from datetime import timedelta
from urllib.parse import urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.web.answers import timestamp
from service.web.cursors import Cursors
from service.web.problems import ProblemError
from tests.support.offices import START, head, keep

MANY = 205


@pytest.fixture
def crowded(keeping):
    """Return a service whose first office has 205 scenarios and whose second has three."""
    with keeping.desk.store.writing() as session:
        here, elsewhere = sorted(session.offices.every(), key=lambda one: one.name != "Tansy")
        for number in range(1, MANY + 1):
            at = START + timedelta(minutes=number // 2)
            keep(session, head(number, office_id=here.id, updated_at=at, external_id=f"{number}"))
        for number in range(MANY + 1, MANY + 4):
            keep(session, head(number, office_id=elsewhere.id))
    return keeping


def _pages(keeping, path):
    """Yield the pages of a list, following next."""
    while path:
        answer = keeping.get(path, "read")
        assert answer.status_code == 200, answer.text
        page = answer.json()
        yield page["items"]
        path = page["next"]
        link = answer.headers.get("link")
        assert link == (f'<{path}>; rel="next"' if path else None)


@pytest.mark.parametrize(("limit", "sizes"), [(200, [200, 5]), (50, [50] * 4 + [5]), (205, None)])
def test_all_are_listed_once_the_newest_first(crowded, limit, sizes):
    if sizes is None:
        assert crowded.get(f"/v1/scenarios?limit={limit}").status_code == 422
        return
    pages = list(_pages(crowded, f"/v1/scenarios?limit={limit}"))
    assert [len(page) for page in pages] == sizes
    ids = [item["id"] for page in pages for item in page]
    assert ids == sorted(ids, reverse=True)
    assert len(set(ids)) == MANY


def test_a_page_has_fifty_unless_told(crowded):
    assert len(crowded.get("/v1/scenarios").json()["items"]) == 50
    assert len(crowded.get("/v1/scenarios.json?limit=1").json()["items"]) == 1


def test_a_page_that_is_just_full_is_the_last(crowded):
    assert crowded.get("/v1/scenarios?limit=41").json()["next"]
    sizes = [len(page) for page in _pages(crowded, "/v1/scenarios?limit=41")]
    assert sizes == [41] * 5


def test_one_is_found_by_its_external_id(crowded):
    (item,) = crowded.get("/v1/scenarios?external_id=17").json()["items"]
    assert item["external_id"] == "17"
    assert crowded.get("/v1/scenarios?external_id=nothing").json() == {"items": [], "next": None}


def test_what_was_changed_since_is_listed_in_the_order_of_its_change(crowded):
    since = START + timedelta(minutes=51)
    query = urlencode({"updated_since": timestamp(since), "limit": 7})
    items = [item for page in _pages(crowded, f"/v1/scenarios?{query}") for item in page]
    times = [item["updated_at"] for item in items]
    assert times == sorted(times)
    # Two changes can be committed in another order than their times say.
    assert times[0] == timestamp(since - timedelta(seconds=60))
    assert len(items) == MANY - 99
    assert len({item["id"] for item in items}) == len(items)


@pytest.mark.parametrize(
    ("since", "count"),
    [
        ("0001-01-01T00:00:00+14:00", 3),
        ("1960-01-01T00:00:00Z", 3),
        ("9999-12-31T23:59:59-14:00", 0),
        ("2026-02-03T08:30:00.125+01:00", 3),
    ],
)
def test_a_time_of_any_age_and_zone_is_taken(keeping, since, count):
    for _ in range(3):
        keeping.stored()
    answer = keeping.get(f"/v1/scenarios?{urlencode({'updated_since': since})}")
    assert answer.status_code == 200, answer.text
    assert len(answer.json()["items"]) == count


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "limit=201",
        "limit=x",
        "updated_since=2026-02-03T08:30:00",
        "updated_since=yesterday",
        "external_id=",
        "external_id=%00",
        "binned=perhaps",
        "cursor=x",
        "cursor=%C3%A9",
        "cursor=" + "A" * 40,
        "cursor=" + "A" * 501,
        "offset=3",
    ],
)
def test_a_parameter_that_is_not_understood_is_named(keeping, query):
    answer = keeping.get(f"/v1/scenarios?{query}")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-parameter"
    assert answer.json()["errors"][0]["input"] == query.partition("=")[0]


def _cursor(page):
    return re.search(r"cursor=([^&]+)", page["next"]).group(1)


def test_a_cursor_opens_its_own_list_of_its_own_office_alone(crowded):
    cursor = _cursor(crowded.get("/v1/scenarios?limit=10").json())
    scenario = crowded.get("/v1/scenarios?limit=1").json()["items"][0]["id"]
    assert crowded.get(f"/v1/scenarios?cursor={cursor}").status_code == 200
    for path, token in (
        (f"/v1/scenarios?cursor={cursor}", crowded.keys_elsewhere["admin"]),
        (f"/v1/scenarios?binned=true&cursor={cursor}", "admin"),
        (f"/v1/scenarios?external_id=17&cursor={cursor}", "admin"),
        (f"/v1/scenarios?updated_since=2026-02-03T08:00:00Z&cursor={cursor}", "admin"),
        (f"/v1/scenarios/{scenario}/revisions?cursor={cursor}", "admin"),
        (f"/v1/scenarios/{scenario}/costings?cursor={cursor}", "admin"),
    ):
        answer = crowded.get(path, token)
        assert answer.status_code == 422, path
        assert [error["input"] for error in answer.json()["errors"]] == ["cursor"]


def test_a_token_in_the_address_is_not_carried_into_the_next(keeping):
    scenario = keeping.stored()
    for price in (140, 150):
        keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": price}},
                headers={"If-Match": "*"})  # fmt: skip
    token = keeping.link(scenario)
    answer = keeping.get(f"/v1/scenarios/{scenario}/revisions?limit=1&token={token}", None)
    assert answer.status_code == 200, answer.text
    assert token not in answer.text + answer.headers["link"]
    following = keeping.get(f"{answer.json()['next']}&token={token}", None)
    assert following.json()["items"][0]["revision"] == 2


POSITIONS = st.lists(st.text(max_size=40) | st.integers(-(2**60), 2**60), max_size=3)


@settings(derandomize=True, deadline=None)
@given(POSITIONS, st.dictionaries(st.text(max_size=5), st.text(max_size=5), max_size=2))
def test_a_cursor_names_the_position_that_it_was_written_for(position, narrowed):
    cursors = Cursors(b"secret")
    text = cursors.write("of_1", "scenarios", narrowed, position)
    assert re.fullmatch(r"[A-Za-z0-9_-]+", text)
    assert list(cursors.read(text, "of_1", "scenarios", narrowed)) == position


@settings(derandomize=True, deadline=None)
@given(st.data())
def test_a_cursor_that_was_tampered_with_is_refused(data):
    cursors = Cursors(b"secret")
    text = cursors.write("of_1", "scenarios", {}, ["sc_1", 17])
    place = data.draw(st.integers(0, len(text) - 2))
    letter = data.draw(st.sampled_from("AZaz09-_").filter(lambda one: one != text[place]))
    forged = text[:place] + letter + text[place + 1 :]
    with pytest.raises(ProblemError):
        cursors.read(forged, "of_1", "scenarios", {})


@settings(derandomize=True, deadline=None)
@given(st.text(max_size=60))
def test_no_text_at_all_breaks_the_reading_of_a_cursor(text):
    with pytest.raises(ProblemError):
        Cursors(b"secret").read(text, "of_1", "scenarios", {})


def test_a_cursor_of_another_secret_is_refused():
    text = Cursors(b"one").write("of_1", "scenarios", {}, ["sc_1"])
    with pytest.raises(ProblemError):
        Cursors(b"other").read(text, "of_1", "scenarios", {})
