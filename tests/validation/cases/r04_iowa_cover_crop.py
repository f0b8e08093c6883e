"""Practical Farmers of Iowa: eight days on a cover crop instead of hay.

The news release with these figures was seen.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import LB_PER_TON, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY, grass, standing

HEAD, DAYS, TONS_A_DAY, ACRES = 184, 8, 2.2, 50


def document() -> Document:
    """Return the herd on rye that stands for just these days, and on hay."""
    return farm(
        DAYS,
        head=HEAD,
        price_year=2015,
        hay={"price_per_ton": 140},
        land={"forage_value_per_ton_dm": 61.66},
        systems={"hay": {"plan": [HAY]}, "rye": {"plan": [grass(ACRES)]}},
        baseline="hay",
        assumptions=intake(TONS_A_DAY * LB_PER_TON / HEAD)
        | standing(TONS_A_DAY * LB_PER_TON * DAYS / ACRES),
    )


def case() -> Case:
    """Return what the cover crop saves a day and in all."""
    answer = costed(document())
    saved = answer.cost("hay") - answer.cost("rye")
    return Case(
        key="R04",
        title="Rye cover crop grazed in spring against hay",
        source="Practical Farmers of Iowa, 2015: Cover crops offer graziers a low-cost, "
        "high-quality winter feed, on the project Grazing cover crops on corn ground; seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Herd", "184 cattle that eat 2.2 tons DM a day", "printed"),
            PutIn("Days", "8", "printed"),
            PutIn("Cover crop", "61.66 USD a ton DM", "printed"),
            PutIn("Hay", "140 USD a ton", "printed"),
            PutIn("Acres", "50, with just the rye for 8 days", "neutral"),
            PutIn("Waste, labor, fence, land", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Saved a day",
                printed="almost 173",
                engine=saved / DAYS,
                unit="USD/day",
                **within(173),
                allowed="1 %: rounding",
                document="eight_days",
            ),
            Line(
                what="Saved in eight days",
                printed="1,379",
                engine=saved,
                unit="USD",
                **within(1379),
                allowed="1 %: rounding",
                document="eight_days",
            ),
        ),
        shows="Intake, days and price of a ton on both sides. What the farm measured (soil, "
        "condition of the cows) is not compared.",
        not_printed=("weight", "waste", "labor", "fence", "land"),
        documents={"eight_days": answer.document},
    )
