"""The whole of what this service was held against, as one Markdown text."""

from collections.abc import Iterator, Sequence

from service.trust import wording
from service.trust.gaps import not_rebuilt, unchecked
from service.trust.markup import folded, listed, table, text
from service.trust.records import CLAIMS, ORIGINS, Case, Line, Outcome
from service.trust.review_markdown import review_section
from service.trust.review_records import Review


def markdown(cases: Sequence[Case], review: Review) -> str:
    """Return all cases, what could not be checked, and the review of the reference values.

    Parameters
    ----------
    cases : sequence of Case
        In the order of the page.
    review : Review
        Of the reference values.
    """
    parts = [
        f"# {wording.TITLE}",
        *wording.INTRODUCTION,
        "\n".join(
            f"- **{wording.CLAIM_TITLES[claim]}.** {text(meaning)}"
            for claim, meaning in CLAIMS.items()
        ),
        wording.HOW_TO_READ,
        wording.PLANNING,
        *_overview(cases),
        *(part for case in cases for part in _case(case)),
        *_gaps(),
        *review_section(review),
    ]
    return "\n\n".join(parts) + "\n"


def _overview(cases: Sequence[Case]) -> Iterator[str]:
    yield "## The cases"
    for claim, found in wording.by_claim(cases):
        yield f"### {wording.CLAIM_KINDS[claim]}"
        yield wording.counted(found)
        rows = [
            (
                f"[{case.key}](#{case.key.lower()})",
                text(case.title),
                *(str(case.count(outcome)) for outcome in wording.OUTCOMES),
            )
            for case in found
        ]
        if rows:
            yield table(("Case", "What", "Differ", "Not compared", "Not printed", "Agree"), rows)


def _case(case: Case) -> Iterator[str]:
    yield f'<a id="{case.key.lower()}"></a>'
    yield f"## {case.key}: {text(case.title)}"
    yield text(case.source)
    yield f"**{wording.CLAIM_KINDS[case.claim]}.** {text(case.shows)}"
    numbers = wording.numbers(case)
    for outcome, lines in wording.by_outcome(case):
        yield from _lines(outcome, lines, numbers)
    yield "### What was put in"
    yield table(
        ("What", "Value", "Origin"),
        [(text(each.what), text(each.value), ORIGINS[each.origin]) for each in case.put_in],
    )
    if case.misprints:
        yield "### Misprints: recorded, not matched"
        yield listed(case.misprints)
    if case.not_printed:
        yield "### What the source does not print"
        yield listed(case.not_printed)
    if case.documents:
        yield "### To do it again"
        yield wording.AGAIN
        commands = "\n".join(
            f"{wording.by_terminal(case, name)}\n{wording.by_web(case, name)}"
            for name in case.documents
        )
        yield f"```sh\n{commands}\n```"


def _lines(outcome: Outcome, lines: list[Line], numbers: dict[str, int]) -> Iterator[str]:
    yield f"### {wording.OUTCOME_HEADINGS[outcome]} ({len(lines)})"
    same = wording.allowed(lines)
    if same:
        yield f"Allowed: {text(same)}."
    rows = [
        (
            str(numbers[line.what]),
            text(line.what),
            text(line.printed),
            text(wording.with_unit(line.engine, line.unit)),
            wording.difference(line),
            text(line.why) or (text(line.allowed) if not same else ""),
        )
        for line in lines
    ]
    heads = ("", "What", "Printed", "Engine", "Difference", "Why" if same else "Why, or allowed")
    made = table(heads, rows)
    many = wording.is_folded(outcome, len(lines))
    yield folded(f"All {len(lines)} lines", made) if many else made


def _gaps() -> Iterator[str]:
    yield "## What no source could check"
    yield "\n".join(
        f"- **{text(each.what)}.** {text(each.why)} {text(each.instead)}".rstrip()
        for each in unchecked()
    )
    if not_rebuilt():
        yield "## Published cases that could not be rebuilt"
        yield "\n".join(
            f"- **{text(each.key)}.** {text(each.what)} {text(each.why)}" for each in not_rebuilt()
        )
