"""Natural Resources Conservation Service, Missouri: stockpiled fescue against bought hay.

The passage of the article with these figures was seen.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import LB_PER_TON, about, per_head_day, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY, grass, standing

COWS, EATEN, HAY_PER_TON = 10, 26.0, 40.0


def document() -> Document:
    """Return ten cows, first on an acre of fescue and then on hay."""
    fescue = grass(1, nitrogen_lb_per_acre=60)
    return farm(
        30,
        head=COWS,
        hay={"price_per_ton": HAY_PER_TON},
        prices={"nitrogen_per_lb": 0.30},
        systems={"hay": {"plan": [HAY]}, "grass_first": {"plan": [fescue, HAY]}},
        baseline="hay",
        assumptions=intake(EATEN) | standing(3000) | {"stockpile.utilization.1": 0.7},
    )


def case() -> Case:
    """Return cow-days of the acre and the cost of a day on grass and on hay."""
    answer = costed(document())
    days = answer.quantity("grass_first", "served_days", "stockpile_grazing", "firm")
    fertilizer = answer.line("grass_first", "stockpile_fertilizer")
    return Case(
        key="R01",
        title="Stockpiled fescue with nitrogen against bought hay, a cow and day",
        source="Kennedy, M., USDA Natural Resources Conservation Service, Missouri, in Hay & "
        "Forage Grower, on hay on the stump (undated; the passage seen).",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Grass", "3,000 lb DM an acre, 70 % of it eaten", "printed"),
            PutIn("Eaten", "26 lb a cow and day", "printed"),
            PutIn("Nitrogen", "60 lb an acre at 0.30 USD", "printed"),
            PutIn("Hay", "40 USD a ton, no waste", "printed"),
            PutIn("Cows", "10", "neutral"),
            PutIn("Spreading, fence, labor, land", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Cow-days an acre",
                printed="80",
                engine=days * COWS,
                unit="head x day/acre",
                **within(80, 0.02),
                allowed="2 %: the source rounds to tens",
                document="an_acre",
            ),
            Line(
                what="A day on grass",
                printed="0.23",
                engine=fertilizer / days / COWS,
                unit="USD/head/day",
                **about(0.23, 0.01),
                allowed="1 cent: the source divides by its rounded 80 days and rounds up",
                document="an_acre",
            ),
            Line(
                what="A day on hay",
                printed="0.52",
                engine=per_head_day(answer, "hay"),
                unit="USD/head/day",
                **within(EATEN * HAY_PER_TON / LB_PER_TON),
                allowed="1 %: rounding",
                document="an_acre",
            ),
        ),
        shows="Days that grass lasts, from yield, share eaten and intake, and what its nitrogen "
        "costs a day. Spreading, fence, moves and land are left out, and hay is wasted nowhere.",
        not_printed=("head", "weight", "spreading", "labor", "fence", "land"),
        documents={"an_acre": answer.document},
    )
