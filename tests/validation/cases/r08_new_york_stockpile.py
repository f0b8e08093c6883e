"""Cornell Cooperative Extension: a month of stockpiled pasture against hay, 15 cows.

The first half of the article was seen; the cost of its nitrogen stands below that.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY, grass, standing

COWS, WEIGHT, DAYS, ACRES = 15, 1300, 30, 16
FED = 0.04


def document() -> Document:
    """Return the cows on hay, and on rented grass."""
    rented = grass(ACRES, nitrogen_lb_per_acre=1)
    made = farm(
        DAYS,
        head=COWS,
        price_year=2020,
        hay={"price_per_ton": 100},
        systems={"hay": {"plan": [HAY]}, "grass": {"plan": [rented]}},
        baseline="hay",
        assumptions=intake(WEIGHT * FED, body_weight_lb=WEIGHT)
        | standing(3000)
        | {"stockpile.spreading_cost_per_acre": 25},
    )
    made["herd"]["cows"]["body_weight_lb"] = WEIGHT
    return made


def case() -> Case:
    """Return tons, their price and the rent."""
    answer = costed(document())
    return Case(
        key="R08",
        title="A month of rented stockpiled pasture against hay",
        source="Glazier, N., Cornell Cooperative Extension, 2020: The economics of stockpiled "
        "pastures; the first half seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Cows", "15 of 1,300 lb, 4 % of weight a day with all losses", "printed"),
            PutIn("Days", "30", "printed"),
            PutIn("Hay", "100 USD a ton", "printed"),
            PutIn("Rent", "16 acres at 25 USD, put in as a charge an acre", "printed"),
            PutIn("Grass on an acre", "3,000 lb DM, more than is eaten", "neutral"),
            PutIn("Nitrogen, fence, labor", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Feed for the month",
                printed="11.7",
                engine=answer.quantity("hay", "hay_needed_ton"),
                unit="ton",
                **within(11.7),
                allowed="1 %: rounding",
                document="a_month",
            ),
            Line(
                what="The same as hay",
                printed="1,170",
                engine=answer.line("hay", "hay_eaten", "hay_wasted"),
                unit="USD",
                **within(1170),
                allowed="1 %: rounding",
                document="a_month",
            ),
            Line(
                what="Rent of the pasture",
                printed="400",
                engine=answer.line("grass", "stockpile_fertilizer"),
                unit="USD",
                **within(400),
                allowed="1 %: rounding",
                document="a_month",
            ),
        ),
        shows="Intake by weight, hay in money, and a charge an acre. The engine knows no rent: "
        "it is put in as spreading.",
        not_printed=("nitrogen and its price (below what was seen)", "labor", "fence", "yield"),
        documents={"a_month": answer.document},
    )
