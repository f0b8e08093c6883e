"""The Markdown of cases and grades: nothing is missing, nothing is taken for markup."""

import re
from dataclasses import replace
from importlib.resources import files

import pytest

from service.trust import review_wording, wording
from service.trust.gaps import not_rebuilt, unchecked
from service.trust.markdown import markdown
from service.trust.markup import text
from service.trust.records import CLAIMS, Case, Line, PutIn, published_cases
from service.trust.review_records import GRADES, reference_review, ten_values

CASES = published_cases()
REVIEW = reference_review()
SAID = markdown(CASES, REVIEW)


def line(**more):
    given = {
        "what": "Cost",
        "printed": "100",
        "engine": 90.0,
        "unit": "USD/head",
        "low": 99.0,
        "high": 101.0,
        "allowed": "1 %",
        "why": "hay is left out",
        "document": "farm",
    }
    return Line(**(given | more))


def case(*lines, **more):
    given = {
        "key": "X1",
        "title": "Hay",
        "source": "A sheet",
        "claim": "reproduces_arithmetic",
        "put_in": (PutIn("Cows", "10", "printed"),),
        "lines": lines,
        "shows": "Little.",
        "documents": {"farm": {}},
    }
    return Case(**(given | more))


def rows(part):
    """Return the cells of the rows of tables; a bar in words does not part them."""
    return [
        [cell.strip() for cell in re.split(r"(?<!\\)\|", row)[1:-1]]
        for row in part.splitlines()
        if row.startswith("| ")
    ]


def part_of(said, found):
    start = said.index(f'<a id="{found.key.lower()}"></a>')
    end = said.find('<a id="', start + 1)
    return said[start : end if end > 0 else said.index("## What no source could check")]


def test_the_text_in_the_repository_is_what_the_records_make_now():
    # Made anew by: python -m tests.validation --write
    assert (files("service.trust") / "TRUST.md").read_text("utf-8") == SAID


@pytest.mark.parametrize("found", CASES, ids=lambda each: each.key)
def test_every_line_of_a_case_stands_with_print_and_engine(found):
    shown = {row[0]: row for row in rows(part_of(SAID, found)) if row[0].isdigit()}
    assert len(shown) == len(found.lines)
    for number, each in enumerate(found.lines, 1):
        assert shown[str(number)][1:4] == [
            text(each.what),
            text(each.printed),
            text(wording.with_unit(each.engine, each.unit)),
        ]
        if each.why:
            assert shown[str(number)][5] == text(each.why)


@pytest.mark.parametrize("found", CASES, ids=lambda each: each.key)
def test_what_was_put_in_and_what_is_misprinted_is_told(found):
    part = part_of(SAID, found)
    assert text(found.source) in part
    for each in found.put_in:
        assert [text(each.what), text(each.value)] in [row[:2] for row in rows(part)]
    for words in (*found.misprints, *found.not_printed):
        assert f"- {text(words)}" in part
    for name in found.documents:
        assert wording.by_terminal(found, name) in part
        assert wording.by_web(found, name) in part


def test_counts_add_up_and_are_never_mixed():
    both = (
        case(line(engine=100.0, why=""), line(what="B")),
        case(line(low=None), key="X2", claim="agrees_with_measurement"),
    )
    said = markdown(both, REVIEW)
    assert "1 case, 2 lines: 1 agree, 1 differ, 0 could not be compared." in said
    assert "1 case, 1 line: 0 agree, 0 differ, 1 could not be compared." in said
    assert "3 lines" not in said
    for claim, found in wording.by_claim(CASES):
        assert sum(wording.counts(found).values()) == sum(len(each.lines) for each in found)
        assert all(each.claim == claim for each in found)
    assert sum(len(found) for _, found in wording.by_claim(CASES)) == len(CASES)


def test_what_differs_comes_first_and_is_never_folded():
    lines = [line(what=f"Good {number}", engine=100.0, why="") for number in range(13)]
    worse = [line(what=f"Bad {number}") for number in range(13)]
    none = [line(what=f"None {number}", low=None) for number in range(13)]
    part = part_of(markdown((case(*lines, *none, *worse),), REVIEW), case())
    assert part.index("Bad 0") < part.index("None 0") < part.index("<details>")
    assert part.index("None 12") < part.index("<details>") < part.index("Good 0")
    assert part.count("<details>") == 1


def test_a_dozen_lines_that_agree_stay_open():
    lines = [line(what=f"Good {number}", engine=100.0, why="") for number in range(12)]
    assert "<details>" not in part_of(markdown((case(*lines),), REVIEW), case())


def test_nothing_is_taken_for_markup():
    evil = "<script>alert(1)</script> | **a** [b](c) `d` & _e_\n# f"
    told = case(line(what=evil, why=evil, printed=evil), title=evil, source=evil, shows=evil)
    part = part_of(markdown((told,), REVIEW), told)
    assert "<script>" not in part
    assert "\n# f" not in part
    assert text(evil) == (
        r"&lt;script&gt;alert(1)&lt;/script&gt; \| \*\*a\*\* \[b\](c) \`d\` &amp; \_e\_ # f"
    )
    assert next(row for row in rows(part) if row[0] == "1")[3] == "90.00 USD/head"


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (-14.043478, "USD/acre", "-14.04 USD/acre"),
        (2592.0, "USD", "2,592.00 USD"),
        (0.0535714, "USD/head/day", "0.054 USD/head/day"),
        (1036.38554, "kg DM/cow", "1,036 kg DM/cow"),
        (80.76923, "head x day/acre", "80.77 head x day/acre"),
        (0.3974, "fraction", "39.7 %"),
        (-0.0, "percent of the year's grass", "0 % of the year's grass"),
        (-6.91399, "percent", "-6.9 %"),
        ("cone < ring", "order", "cone < ring"),
    ],
)
def test_figures_are_rounded_for_reading(value, unit, shown):
    assert wording.with_unit(value, unit) == shown


@pytest.mark.parametrize(
    ("more", "shown"),
    [
        ({}, "-10.0 %"),
        ({"printed": "about 100 USD", "engine": 105.0}, "+5.0 %"),
        # worked by hand: whole bales are charged, so only less is allowed
        ({"printed": "2,600", "low": 2580.0, "high": 2600.0, "engine": 2592.0}, "-0.3 %"),
        # a range, told from its middle: 90 / 150
        ({"printed": "100 to 200", "low": 100.0, "high": 200.0}, "-40.0 %"),
        # one figure, but not the one that is compared: 1.21 is the middle
        ({"printed": "1.43 with corn", "low": 1.08, "high": 1.34, "engine": 1.21}, "none"),
        ({"printed": "-21.0 %", "unit": "percent", "low": -26.0, "high": -16.0, "engine": -14.5},
         "+6.5 points"),
        ({"engine": 100.04}, "none"),
        ({"low": None}, "-"),
        ({"engine": "up", "words": "down"}, "-"),
    ],
)  # fmt: skip
def test_the_difference_is_from_the_print(more, shown):
    assert wording.difference(line(**more)) == shown


def test_all_that_could_not_be_checked_is_told():
    for each in unchecked():
        assert text(each.what) in SAID
        assert text(each.why) in SAID
    for each in not_rebuilt():
        assert text(each.why) in SAID


def test_every_reference_value_is_listed_once_under_its_grade():
    whole = SAID[SAID.index("## All reference values by grade") :]
    for grade, part in zip(GRADES, whole.split("<details>")[1:], strict=False):
        values = [row[0].strip("`") for row in rows(part) if row[0].startswith("`")]
        wanted = [value.key for value in REVIEW.values if value.grade == grade]
        assert sorted(values) == sorted(wanted)
        assert f"{review_wording.GRADE_TITLES[grade]}: {len(wanted)}<" in part


def test_the_ten_have_their_paragraphs_and_their_moves():
    for thing in REVIEW.ten:
        said = ten_values()[thing.move.what]
        for words in (said.title, said.known, said.range, said.settled_by, said.measure):
            assert text(words) in SAID
        for share in thing.move.shares.values():
            assert review_wording.moved(share) in review_wording.moves_in_words(REVIEW, thing)


def test_what_moves_little_is_counted_and_not_left_out():
    told = sum(review_wording.is_told(thing.move) for thing in REVIEW.things)
    assert f"{len(REVIEW.things) - told} more move no lead" in review_wording.not_ranked(REVIEW)
    ranked = SAID[SAID.index("by how much it moves") : SAID.index("## All reference values")]
    assert len([row for row in rows(ranked) if row[0].isdigit()]) == told


def test_agreement_is_defined_before_the_first_count():
    for meaning in CLAIMS.values():
        assert SAID.index(text(meaning)) < SAID.index("lines:")


def test_a_case_without_paragraphs_yet_is_told_by_its_values():
    other = replace(REVIEW.ten[0], move=replace(REVIEW.ten[0].move, what="work.*.unknown.*"))
    assert review_wording.meaning(REVIEW, other) == "People's time: unknown"
