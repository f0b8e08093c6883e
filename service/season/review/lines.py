"""Each line planned and actual, and the difference split."""

from collections.abc import Iterable

from service.costing.lines import LINES
from service.season.review.game import AS_BUILT, Game
from service.season.review.offsets import Recorded
from service.season.review.records import LineReview
from service.season.review.shapley import shapley

TOTAL = "total"


def split_lines(game: Game, recorded: Recorded) -> tuple[LineReview, ...]:
    """Return every line, in the order in which lines are shown."""
    worth = recorded.added_to(game.lines)
    weather, price, practice = shapley(worth)
    planned, actual = worth[0, 0, 0], worth[1, 1, 1]
    reviews: list[LineReview] = []
    for number, line in enumerate(LINES.values()):
        told = line.key in recorded.money
        apart = game.ground_known or not told
        share = float(practice[number])
        reviews.append(
            LineReview(
                line=line.key,
                title=line.title,
                group=line.group,
                planned=float(planned[number]),
                actual=float(actual[number]),
                weather=float(weather[number]),
                price=float(price[number]),
                practice=share if apart else 0.0,
                not_split=0.0 if apart else share,
                recorded=told,
            )
        )
    return tuple(reviews)


def total_of(lines: Iterable[LineReview]) -> LineReview:
    """Return the sum of lines; recorded only where all that a winter moves was."""
    lines = tuple(lines)
    return LineReview(
        line=TOTAL,
        title="All lines",
        group="",
        planned=sum(line.planned for line in lines),
        actual=sum(line.actual for line in lines),
        weather=sum(line.weather for line in lines),
        price=sum(line.price for line in lines),
        practice=sum(line.practice for line in lines),
        not_split=sum(line.not_split for line in lines),
        recorded=all(line.recorded for line in moved_by_winter(lines)),
    )


def moved_by_winter(lines: Iterable[LineReview]) -> tuple[LineReview, ...]:
    """Return the lines with any money that follow the winter, not what was built."""
    return tuple(
        line for line in lines if line.line not in AS_BUILT and (line.planned or line.actual)
    )
