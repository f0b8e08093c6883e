"""The one text of a document, and places in it."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.document import leaves
from service.demo import demo_document
from service.scenarios.canonical import canonical_text, plain, sha256_of
from service.scenarios.places import differing, places, values
from tests.support.offices import small_document

NUMBERS = st.integers(-(10**18), 10**18) | st.floats(allow_nan=False, allow_infinity=False)
JSON = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3)
    ),
    max_leaves=12,
)


@given(JSON)
def test_what_is_read_back_is_what_was_written(value):
    text = canonical_text(value)
    assert json.loads(text) == value
    assert canonical_text(json.loads(text)) == text


def test_members_keep_the_order_in_which_they_were_sent():
    assert canonical_text({"b": 1, "a": [2, "é"]}) == '{"b":1,"a":[2,"é"]}'


def test_a_whole_number_is_the_same_with_and_without_a_decimal_point():
    # RFC 8259, section 6: a number is its value; 1 and 1.0 are the same.
    assert canonical_text({"a": 131.0, "b": 1.5}) == canonical_text({"a": 131, "b": 1.5})
    assert canonical_text(-0.0) == "0"
    assert plain([True])[0] is True


def test_a_number_that_is_none_is_refused():
    with pytest.raises(ValueError, match="JSON compliant"):
        canonical_text({"a": float("nan")})


def test_the_hash_is_the_one_of_the_standard():
    # NIST FIPS 180-4 (2015), SHA-256 of the text "abc" in its published examples.
    assert sha256_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize("document", [small_document(), demo_document()])
def test_values_have_the_paths_that_the_costing_gives_them(document):
    assert list(values(document)) == list(leaves(document))


def test_parts_have_paths_too():
    known = places(small_document())
    assert {"herd", "herd.cows", "herd.cows.head", "systems"} <= set(known)
    assert len(known) == len(set(known))


def test_what_differs_is_named_whether_changed_added_or_removed():
    before = {"a": {"b": 1, "c": 2}, "d": ["x"], "e": 5}
    after = {"a": {"b": 1, "c": 3}, "d": ["x", "y"], "f": 6}
    assert differing(before, after) == ["a.c", "d", "f", "e"]
    assert differing(before, before) == []
