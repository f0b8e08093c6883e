"""Merge patches against the tables of the standard."""

import json
from copy import deepcopy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.scenarios.merge_patch import patched

# P. Hoffman and J. Snell, JSON Merge Patch, RFC 7396, 2014, appendix A: original, patch, result.
APPENDIX_A = [
    ('{"a":"b"}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'),
    ('{"a":"b"}', '{"a":null}', "{}"),
    ('{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'),
    ('{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'),
    ('{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'),
    ('{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'),
    ('["a","b"]', '["c","d"]', '["c","d"]'),
    ('{"a":"b"}', '["c"]', '["c"]'),
    ('{"a":"foo"}', "null", "null"),
    ('{"a":"foo"}', '"bar"', '"bar"'),
    ('{"e":null}', '{"a":1}', '{"e":null,"a":1}'),
    ("[1,2]", '{"a":"b","c":null}', '{"a":"b"}'),
    ("{}", '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'),
]

# The same, section 3.
ORIGINAL = {
    "title": "Goodbye!",
    "author": {"givenName": "John", "familyName": "Doe"},
    "tags": ["example", "sample"],
    "content": "This will be unchanged",
}
PATCH = {
    "title": "Hello!",
    "phoneNumber": "+01-123-456-7890",
    "author": {"familyName": None},
    "tags": ["example"],
}
RESULT = {
    "title": "Hello!",
    "author": {"givenName": "John"},
    "tags": ["example"],
    "content": "This will be unchanged",
    "phoneNumber": "+01-123-456-7890",
}

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=3),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("abcd"), inner, max_size=3)
    ),
    max_leaves=10,
)


@pytest.mark.parametrize(("original", "patch", "result"), APPENDIX_A)
def test_the_cases_of_the_standard_come_out_as_it_says(original, patch, result):
    assert patched(json.loads(original), json.loads(patch)) == json.loads(result)


def test_the_example_of_the_standard_comes_out_as_it_says():
    assert patched(ORIGINAL, PATCH) == RESULT


@given(JSON, JSON)
def test_neither_side_is_changed_and_a_second_time_changes_nothing(target, patch):
    before = deepcopy((target, patch))
    once = patched(target, patch)
    assert (target, patch) == before
    assert patched(once, patch) == once


def test_members_keep_their_places_and_new_ones_come_last():
    merged = patched({"b": 1, "a": 2, "c": 3}, {"d": 4, "a": 5, "b": None})
    assert list(merged.items()) == [("a", 5), ("c", 3), ("d", 4)]
