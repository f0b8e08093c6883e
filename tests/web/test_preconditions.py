"""If-Match and If-None-Match (RFC 9110, sections 13.1.1 and 13.1.2)."""

import pytest

from tests.support.offices import small_document

PATCH = {"hay": {"price_per_ton": 131}}


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


def _changed(keeping, scenario, if_match, patch=PATCH):
    headers = {"If-Match": if_match} if if_match is not None else {}
    return keeping("PATCH", f"/v1/scenarios/{scenario}", "write", json=patch, headers=headers)


def _advanced(keeping, scenario, *prices):
    for price in prices:
        answer = _changed(keeping, scenario, "*", {"hay": {"price_per_ton": price}})
        assert answer.status_code == 200, answer.text


CHANGES = [
    ("PUT", "", small_document()),
    ("PATCH", "", PATCH),
    ("DELETE", "", None),
    ("POST", "/revisions/1/restore", None),
]


@pytest.mark.parametrize(("method", "suffix", "sent"), CHANGES)
def test_a_change_without_if_match_is_428(keeping, scenario, method, suffix, sent):
    # RFC 6585, section 3.
    answer = keeping(method, f"/v1/scenarios/{scenario}{suffix}", "write", json=sent)
    assert answer.status_code == 428
    assert answer.json()["type"] == "/problems/precondition-required"
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 1


@pytest.mark.parametrize(("method", "suffix", "sent"), CHANGES)
def test_a_stale_if_match_is_412_with_the_newest_etag_and_what_differs(
    keeping, scenario, method, suffix, sent
):
    _advanced(keeping, scenario, 140)
    sent = sent and sent | {"price_year": 2020}
    answer = keeping(
        method,
        f"/v1/scenarios/{scenario}{suffix}",
        "write",
        json=sent,
        headers={"If-Match": '"1"'},
    )
    if suffix:
        # The document of revision 1 is not what stands, so it is no repeat.
        assert answer.json()["errors"]
    assert answer.status_code == 412, answer.text
    assert answer.json()["type"] == "/problems/stale-revision"
    assert answer.headers["etag"] == '"2"'
    assert [error["input"] for error in answer.json()["errors"]] == ["hay.price_per_ton"]
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 2


@pytest.mark.parametrize(("method", "suffix", "sent"), CHANGES)
def test_an_unknown_scenario_and_too_little_access_come_before_the_missing_header(
    keeping, scenario, method, suffix, sent
):
    unknown = keeping(method, f"/v1/scenarios/sc_0{suffix}", "write", json=sent)
    assert unknown.status_code == 404
    forbidden = keeping(method, f"/v1/scenarios/{scenario}{suffix}", "read", json=sent)
    assert forbidden.status_code == 403


@pytest.mark.parametrize(
    "header",
    ['"0"', '"01"', '"x"', '""', 'W/"1"', '"1-gzip"', '"99999999999999999999"', '"3"', '"-1"'],
)
def test_a_tag_that_is_not_the_newest_revision_is_412(keeping, scenario, header):
    answer = _changed(keeping, scenario, header)
    assert answer.status_code == 412
    assert answer.headers["etag"] == '"1"'


@pytest.mark.parametrize("header", ["1", "'1'", '"1', '"1" "2"', "*, x", '"1";"2"', "w/x"])
def test_what_is_no_entity_tag_is_400_and_says_how_they_look(keeping, scenario, header):
    answer = _changed(keeping, scenario, header)
    assert answer.status_code == 400
    assert '"3"' in answer.json()["detail"]


@pytest.mark.parametrize(
    "header", ["*", '"2"', ' "2" ', '"1", "2"', '"2","1"', 'W/"2", "2"', '"x" , "2"', ', "2"']
)
def test_the_newest_revision_among_several_tags_is_enough(keeping, scenario, header):
    _advanced(keeping, scenario, 140)
    assert _changed(keeping, scenario, header).json()["revision"] == 3


def test_of_several_stale_tags_the_highest_tells_what_differs(keeping, scenario):
    _advanced(keeping, scenario, 140, 150)
    _changed(keeping, scenario, "*", {"herd": {"cows": {"head": 50}}})
    answer = _changed(keeping, scenario, '"1", "3"')
    assert answer.status_code == 412
    assert [error["input"] for error in answer.json()["errors"]] == ["herd.cows.head"]


def test_tags_in_two_headers_are_one_list(keeping, scenario):
    _advanced(keeping, scenario, 140)
    answer = keeping.call(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        json=PATCH,
        headers=[
            ("Authorization", f"Bearer {keeping.keys['write']}"),
            ("If-Match", '"1"'),
            ("If-Match", '"2"'),
        ],
    )
    assert answer.status_code == 200


@pytest.mark.parametrize("header", ['"1"', "*", 'W/"1"', '"0", "1"', 'W/"0",W/"1"'])
def test_what_the_caller_has_is_not_sent_again(keeping, scenario, header):
    # If-None-Match compares weakly: RFC 9110, section 8.8.3.2.
    answer = keeping.get(f"/v1/scenarios/{scenario}", "read", **{"If-None-Match": header})
    assert (answer.status_code, answer.content) == (304, b"")
    assert answer.headers["etag"] == '"1"'
    assert answer.headers["cache-control"] == "private, no-cache"
    assert "content-location" in answer.headers


@pytest.mark.parametrize("header", ['"2"', "1", "", '"1-gzip"'])
def test_what_the_caller_has_not_is_sent(keeping, scenario, header):
    answer = keeping.get(f"/v1/scenarios/{scenario}", **{"If-None-Match": header})
    assert answer.status_code == 200


def test_a_change_is_answered_whole_whatever_the_caller_has(keeping, scenario):
    answer = keeping(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        json=PATCH,
        headers={"If-Match": '"1"', "If-None-Match": '"2"'},
    )
    assert answer.status_code == 200


def test_head_tells_the_etag_without_the_body(keeping, scenario):
    got = keeping.get(f"/v1/scenarios/{scenario}")
    head = keeping("HEAD", f"/v1/scenarios/{scenario}")
    assert (head.status_code, head.content) == (200, b"")
    for name in ("etag", "content-length", "last-modified", "content-location"):
        assert head.headers[name] == got.headers[name]
