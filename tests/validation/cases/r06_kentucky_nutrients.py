"""University of Kentucky: what a bale of grass hay is worth as fertilizer.

The opening of the article was seen; it does not print the fertilizer prices.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import LB_PER_TON, about, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY

BALE_LB, COWS, DAYS = 1000, 100, 10
IN_BALE = {"n": 18, "p2o5": 6, "k2o": 26}
"""Nutrients in a bale [lb/bale]."""
RECYCLED, BALE_PRICE = 0.75, 35
UREA, PHOSPHATE, POTASH = 403, 510, 386
"""Average retail prices of early March 2019: urea, diammonium phosphate, potash [USD/ton]."""
NITROGEN = UREA / (0.46 * LB_PER_TON)
PRICES = {
    "nitrogen_per_lb": NITROGEN,
    "p2o5_per_lb": (PHOSPHATE - 0.18 * LB_PER_TON * NITROGEN) / (0.46 * LB_PER_TON),
    "k2o_per_lb": POTASH / (0.60 * LB_PER_TON),
}


def document() -> Document:
    """Return cows on this hay, that give back all that they eat of its nutrients."""
    kept = {f"nutrient_kept.concentrated_by_animals.{x}": RECYCLED for x in IN_BALE}
    shares = {
        f"nutrient.{name}_fraction.{x}": 1 for name in ("excreted", "usable") for x in IN_BALE
    }
    return farm(
        DAYS,
        head=COWS,
        price_year=2019,
        hay={
            "crude_protein_fraction": IN_BALE["n"] / BALE_LB * 6.25,
            "price_per_ton": BALE_PRICE / BALE_LB * LB_PER_TON,
            "bale_weight_lb": BALE_LB,
        },
        prices=PRICES | {"nutrient_value_counted": "full"},
        systems={"fed": {"plan": [HAY]}},
        baseline="fed",
        assumptions=intake(25)
        | kept
        | shares
        | {
            f"nutrient.in_hay_lb_per_ton_dm.{x}": IN_BALE[x] / BALE_LB * LB_PER_TON
            for x in ("p2o5", "k2o")
        },
    )


def case() -> Case:
    """Return worth of a bale's nutrients, and their share of what the bale costs."""
    answer = costed(document())
    bales = answer.quantity("fed", "bales", "needed_mean")
    credit = -answer.line("fed", "nutrient_credit")
    return Case(
        key="R06",
        title="Fertilizer value of a bale of grass hay",
        source="Halich, G., University of Kentucky, 2019, in Progressive Forage: Fertilizer "
        "value of hay feeding; the opening seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Nutrients in a bale of 1,000 lb", "18 lb N, 6 lb P, 26 lb K", "printed"),
            PutIn("P and K", "taken as phosphate and potash, as fertilizer is sold", "assumed"),
            PutIn("Recycled for plants", "75 %", "printed"),
            PutIn("Hay", "35 USD a bale", "printed"),
            PutIn(
                "Fertilizer, early March 2019",
                "urea 403, diammonium phosphate 510, potash 386 USD a ton: average retail "
                "prices (DTN, seen)",
                "assumed",
            ),
            PutIn("Cows, 25 lb a day, 10 days", "100", "neutral"),
        ),
        lines=(
            Line(
                what="Fertilizer value of a bale",
                printed="around 14",
                engine=credit / bales,
                unit="USD/bale",
                **about(14, 1),
                allowed="1 USD: the source says around, and its prices are not printed",
                document="fed",
            ),
            Line(
                what="Share of the price of the hay",
                printed="40 %",
                engine=credit / answer.line("fed", "hay_eaten", "hay_wasted"),
                unit="fraction",
                **within(0.40, 1 / 14),
                allowed="as much as 1 USD in 14",
                document="fed",
            ),
        ),
        shows="Nutrients of hay as money, at prices of the time that were looked up elsewhere. "
        "It does not show that 75 % is right: case R05 takes 35 % of the nitrogen.",
        not_printed=("fertilizer prices", "losses by way of feeding"),
        documents={"fed": answer.document},
    )
