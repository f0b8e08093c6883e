"""The review of the reference values as Markdown."""

from collections.abc import Iterator

from service.trust import review_wording as wording
from service.trust.markup import folded, table, text
from service.trust.review_records import GRADES, Review, Thing, ten_values


def review_section(review: Review) -> Iterator[str]:
    """Yield the review in parts: the grades, the ten, the ranked list, and all values.

    Parameters
    ----------
    review : Review
        Of the reference values.
    """
    yield "## The reference values"
    yield text(wording.review_in_words(review))
    yield table(
        ("Grade", "What it means", "Values"),
        [
            (wording.GRADE_TITLES[grade], text(meaning), str(review.count(grade)))
            for grade, meaning in GRADES.items()
        ],
    )
    yield from _ten(review)
    yield from _ranked(review)
    yield from _values(review)


def _ten(review: Review) -> Iterator[str]:
    yield "## The ten that matter most and that nothing bears out"
    yield text(wording.MEASURE)
    told = ten_values()
    for number, thing in enumerate(review.ten, 1):
        said = told.get(thing.move.what)
        yield f"### {number}. {text(wording.meaning(review, thing))}"
        yield f"`{thing.move.what}`: {text(wording.moves_in_words(review, thing))}"
        if said:
            yield "\n".join(
                f"- **{head}** {text(words)}" for head, words in wording.paragraphs(said)
            )


def _ranked(review: Review) -> Iterator[str]:
    yield "## Everything that nothing bears out, by how much it moves"
    told = [thing for thing in review.things if wording.is_told(thing.move)]
    first, rest = told[: wording.OPEN_RANKS], told[wording.OPEN_RANKS :]
    yield _ranks(review, first, 1)
    if rest:
        yield folded(f"The next {len(rest)}", _ranks(review, rest, wording.OPEN_RANKS + 1))
    yield text(wording.not_ranked(review))


def _ranks(review: Review, things: list[Thing], start: int) -> str:
    heads = ("", "What", *(farm.title for farm in review.farms), "Another system is then cheapest")
    rows = [
        (
            str(number),
            f"{text(wording.meaning(review, thing))} `{thing.move.what}`",
            *(wording.moved(thing.move.shares.get(farm.key)) for farm in review.farms),
            text(wording.turned(review, thing.move)),
        )
        for number, thing in enumerate(things, start)
    ]
    return table(heads, rows)


def _values(review: Review) -> Iterator[str]:
    yield "## All reference values by grade"
    yield text(wording.VALUES)
    for grade, sources in wording.values_by_grade(review):
        parts: list[str] = []
        for source, values in sources:
            parts.append(f"**{text(source)}**")
            rows = [
                (
                    f"`{value.key}`",
                    text(value.meaning),
                    *(wording.of_value(each) for each in (value.low, value.usual, value.high)),
                    text(value.unit),
                )
                for value in values
            ]
            parts.append(table(("Key", "Meaning", "Low", "Usual", "High", "Unit"), rows))
        summary = f"{wording.GRADE_TITLES[grade]}: {review.count(grade)}"
        yield folded(summary, "\n\n".join(parts) or "None.")
    rows = [
        (
            f"`{each.path}`",
            text(each.meaning),
            wording.end(each, each.low),
            wording.end(each, each.high),
            text(each.source),
        )
        for each in review.own_figures
    ]
    yield folded(
        f"How far figures may be off that a farm gives itself: {len(rows)}",
        table(("Input", "Meaning", "Low", "High", "Source"), rows),
    )
