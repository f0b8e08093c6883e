"""University of Kentucky: what it costs to move cattle more often.

Seen: the sums for 30 and 45 minutes in one article, and the text of a report on a table.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.figures import about, per_head_day, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import grass, standing, task

COWS, DAYS, WAGE = 30, 42, 15
INTERVALS = (1, 2, 3, 7)
MINUTES = "assumptions.work.stockpile_grazing.move_wire.person_minutes"


def document() -> Document:
    """Return the herd on grass with moves at each of the intervals."""
    return farm(
        DAYS,
        head=COWS,
        price_year=2015,
        prices={"labor_per_hour": WAGE},
        systems={f"every_{days}": {"plan": [grass(100, days_per_move=days)]} for days in INTERVALS},
        baseline="every_3",
        assumptions=intake(25)
        | standing(3000)
        | task("stockpile_grazing.move_wire", per="move", person_minutes=30),
    )


def more_in_three_days(answer: Answer) -> float:
    """Return what moving daily costs more than every third day [USD/3 days]."""
    labor = answer.line("every_1", "labor") - answer.line("every_3", "labor")
    return labor / DAYS * 3


def case() -> Case:
    """Return both sums, and a cow's day at moves once a week and every second day."""
    longer: dict[str, float | str] = {MINUTES: 45}
    half_hour, three_quarters = costed(document()), costed(document(), longer)
    return Case(
        key="R18",
        title="Labor of moving cattle more often",
        source="Halich, G., University of Kentucky: Picking apples off the grazing tree, part II "
        "(on Ag Proud, undated), the sums seen; and a report on his table at the Kentucky "
        "Grazing School by Rankin, M., Hay & Forage Grower: Many factors dictate how often to "
        "move cattle, the text seen, the table not.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Wage", "15 USD an hour", "printed"),
            PutIn("A move", "30 or 45 minutes", "printed"),
            PutIn("Moves", "every day, second, third and seventh day", "printed"),
            PutIn("Herd", "30 cows", "printed"),
            PutIn("Winter", "42 days", "neutral"),
            PutIn("Grass", "enough, and none saved by moving", "neutral"),
        ),
        lines=(
            Line(
                what="Daily instead of every third day, 30 minutes a move",
                printed="15",
                engine=more_in_three_days(half_hour),
                unit="USD/3 days",
                **within(15),
                allowed="1 %: rounding",
                document="moves",
            ),
            Line(
                what="Daily instead of every third day, 45 minutes a move",
                printed="22.50",
                engine=more_in_three_days(three_quarters),
                unit="USD/3 days",
                **within(22.50),
                allowed="1 %: rounding",
                document="moves",
                settings=longer,
            ),
            Line(
                what="Once a week, 45 minutes a move, a cow and day",
                printed="about 0.13",
                engine=per_head_day(three_quarters, "every_7", "labor"),
                unit="USD/head/day",
                **about(0.13, 0.01),
                allowed="1 cent: the report says about",
                why="45 minutes at 15 USD are 11.25 a move: over 30 cows and 7 days, 5 cents. "
                "13 cents is a move every third day.",
                document="moves",
                settings=longer,
            ),
            Line(
                what="Every third day, 45 minutes a move, a cow and day",
                printed="about 0.13, there for once a week",
                engine=per_head_day(three_quarters, "every_3", "labor"),
                unit="USD/head/day",
                **about(0.13, 0.01),
                allowed="1 cent: the report says about",
                document="moves",
                settings=longer,
            ),
            Line(
                what="Every second day against once a week",
                printed="double",
                engine=three_quarters.line("every_2", "labor")
                / three_quarters.line("every_7", "labor"),
                unit="USD/USD",
                **within(2, 0.1),
                allowed="10 %: in words only",
                why="Seven moves in two weeks against two are three and a half times as many.",
                document="moves",
                settings=longer,
            ),
        ),
        shows="Work by move, and what a wage makes of it. The grass that closer moves save, "
        "which the article weighs against it, is left out here.",
        not_printed=("table of all intervals (a picture)", "grass saved by moving"),
        misprints=(
            "13 cents a cow and day fit a move every third day, not once a week.",
            "Moves every second day are three and a half times those of once a week, not double.",
        ),
        documents={"moves": half_hour.document},
    )
