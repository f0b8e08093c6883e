"""What the engine says to each published case, and that what the service shows of it is that.

Sources stand in each case's module. Which lines disagree is written out here, line by line, so
that neither a changed formula nor a careless ``--write`` can pass for agreement.
"""

import pytest

from service.trust.records import CLAIMS, ORIGINS, Case, published_cases
from tests.validation.cases import CASES
from tests.validation.differing import DISAGREEING, NOT_COMPARED


@pytest.fixture(scope="module")
def made() -> dict[str, Case]:
    """Each case, worked once."""
    return {}


def anew(made: dict[str, Case], key: str) -> Case:
    if key not in made:
        made[key] = CASES[key]()
    return made[key]


@pytest.mark.parametrize("key", CASES)
def test_the_lines_that_disagree_are_those_that_are_known_to(key, made):
    case = anew(made, key)

    assert {line.what for line in case.lines if line.outcome == "disagrees"} == DISAGREEING.get(
        key, set()
    )
    assert {line.what for line in case.lines if line.outcome == "not_compared"} == NOT_COMPARED.get(
        key, set()
    )


@pytest.mark.parametrize("key", CASES)
def test_each_line_that_does_not_agree_says_why(key, made):
    for line in anew(made, key).lines:
        assert line.outcome == "agrees" or line.why, line.what


@pytest.mark.parametrize("key", CASES)
def test_a_case_can_be_followed(key, made):
    case = anew(made, key)

    assert case.key == key
    assert case.claim in CLAIMS
    assert {each.origin for each in case.put_in} <= set(ORIGINS)
    assert all(line.document in case.documents for line in case.lines)
    assert len({line.what for line in case.lines}) == len(case.lines)


@pytest.mark.parametrize("key", CASES)
def test_the_page_shows_what_was_worked_now(key, made):
    shown = {case.key: case for case in published_cases()}[key]
    now = anew(made, key)

    assert [line.what for line in shown.lines] == [line.what for line in now.lines]
    for before, line in zip(shown.lines, now.lines, strict=True):
        if isinstance(line.engine, float):
            assert line.engine == pytest.approx(before.engine, rel=1e-9, abs=1e-9)
        else:
            assert line.engine == before.engine
        assert (line.printed, line.low, line.high, line.words, line.why, line.settings) == (
            before.printed,
            before.low,
            before.high,
            before.words,
            before.why,
            before.settings,
        )
    assert shown.documents == now.documents
    assert (shown.title, shown.source, shown.claim, shown.put_in, shown.shows) == (
        now.title,
        now.source,
        now.claim,
        now.put_in,
        now.shows,
    )


def test_no_other_case_is_shown():
    assert [case.key for case in published_cases()] == list(CASES)
