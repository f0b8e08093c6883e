"""North Dakota State University, Dickinson: native range grazed in late fall.

The opening of the report and the newsletter with the other period were seen.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import grass, standing

RENT, TON, EATEN = 8.76, 97.33, 24.0


def document(days: int, acres: float) -> Document:
    """Return a cow on so many acres [acre], charged by the acre and, apart from it, by the ton."""
    made = farm(
        days,
        head=1,
        price_year=2000,
        land={"forage_value_per_ton_dm": TON},
        systems={"range": {"plan": [grass(acres, nitrogen_lb_per_acre=1)]}},
        baseline="range",
        assumptions=intake(EATEN, body_weight_lb=1200)
        | standing(EATEN * days / acres)
        | {"stockpile.spreading_cost_per_acre": RENT},
    )
    made["herd"]["cows"]["body_weight_lb"] = 1200
    return made


def case() -> Case:
    """Return both periods by the acre, and the first by what the cow eats."""
    first, second = costed(document(32, 5.33)), costed(document(30, 4.4))
    by_acre = "stockpile_fertilizer"
    return Case(
        key="R09",
        title="Native range in late fall, by the acre and by what is eaten",
        source="Manske, L., North Dakota State University, Dickinson Research Extension Center: "
        "Evaluation of pasture forage and harvested forage types during the dry gestation "
        "production period (undated, the opening seen), and with Kraus, A. and Jirik, T., Concise "
        "Communications: Reducing pasture-forage costs for cow-calf pairs during the fall "
        "(undated, seen).",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Dry cow", "1,200 lb that needs 24 lb DM a day", "printed"),
            PutIn("Range", "8.76 USD an acre; 97.33 USD a ton DM", "printed"),
            PutIn(
                "Periods",
                "5.33 acres for 32 days, a dry cow; 4.4 acres for 30 days, cow and calf",
                "printed",
            ),
            PutIn("Charge an acre", "put in as spreading", "neutral"),
            PutIn("Supplement, labor, fence", "0", "neutral"),
        ),
        lines=(
            Line(
                what="32 days by the acre",
                printed="46.75",
                engine=first.line("range", by_acre),
                unit="USD/head",
                **within(46.75),
                allowed="1 %: rounding of acres",
                document="late_fall",
            ),
            Line(
                what="30 days by the acre, cow and calf",
                printed="38.54",
                engine=second.line("range", by_acre),
                unit="USD/head",
                **within(38.54),
                allowed="1 %: rounding of acres",
                document="cow_and_calf",
            ),
            Line(
                what="32 days by what the cow eats",
                printed="46.75",
                engine=first.line("range", "stockpile_forage"),
                unit="USD/head",
                **within(46.75),
                allowed="1 %: rounding of acres",
                why="24 lb a day for 32 days at 97.33 USD a ton are 37. The printed acres hold "
                "30 lb for each day at that price; the source does not say that a fifth is left.",
                document="late_fall",
            ),
        ),
        shows="A charge by the acre, and one by the ton that stands there. The engine knows no "
        "rent. What the cow gains or loses is not compared.",
        not_printed=("share of the range that is eaten", "cost of the supplement", "labor"),
        misprints=("Acres times rent and tons times price differ by a fifth.",),
        documents={"late_fall": first.document, "cow_and_calf": second.document},
    )
