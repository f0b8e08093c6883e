"""An extension handout of 2010: bales and money for 180 or 90 days of hay, and its nutrients.

Seen whole, second-hand: it names neither author nor office.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.figures import about
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY

BALES = {(180, 20): 130, (180, 30): 195, (180, 45): 292, (90, 20): 65, (90, 30): 98, (90, 45): 146}
"""Printed bales by days and head."""
PRICES = (20, 30, 40, 50)
"""Of a bale [USD/bale]; the printed cost is bales times price in each of the 24 cells."""
WEIGHT, SHARE = 1200, 0.03
NUTRIENTS = {"n": (40, 0.45), "p2o5": (13, 0.57), "k2o": (50, 0.39)}
"""Of the Ohio Agronomy Guide in a ton of grass hay [lb/ton], and their prices [USD/lb]."""
PRINTED_WORTH = 44.91
KEEPS = "nutrient_kept.concentrated_by_animals."


def document(days: int) -> Document:
    """Return cows on hay alone, whose nutrients all come back to the ground."""
    given = {KEEPS + x: 1 for x in NUTRIENTS}
    shares = {
        f"nutrient.{name}_fraction.{x}": 1 for name in ("excreted", "usable") for x in NUTRIENTS
    }
    made = farm(
        days,
        head=20,
        price_year=2010,
        hay={"price_per_ton": 40, "crude_protein_fraction": 40 / 2000 * 6.25},
        prices={
            "nitrogen_per_lb": NUTRIENTS["n"][1],
            "p2o5_per_lb": NUTRIENTS["p2o5"][1],
            "k2o_per_lb": NUTRIENTS["k2o"][1],
            "nutrient_value_counted": "full",
        },
        systems={"hay": {"plan": [HAY]}},
        baseline="hay",
        assumptions=intake(WEIGHT * SHARE, body_weight_lb=WEIGHT)
        | given
        | shares
        | {f"nutrient.in_hay_lb_per_ton_dm.{x}": NUTRIENTS[x][0] for x in ("p2o5", "k2o")},
    )
    made["herd"]["cows"]["body_weight_lb"] = WEIGHT
    return made


def name(days: int) -> str:
    """Return the name of a document."""
    return f"{days}_days"


def worth(answer: Answer) -> float:
    """Return the nutrients of a ton in money [USD/ton]."""
    return -answer.line("hay", "nutrient_credit") / answer.quantity("hay", "hay_needed_ton")


def case() -> Case:
    """Return bales, the 24 cells, and the worth of the nutrients."""
    lines: list[Line] = []
    documents: dict[str, Document] = {}
    for (days, head), bales in BALES.items():
        herd: dict[str, float | str] = {"herd.cows.head": head}
        answer = costed(document(days), herd)
        documents[name(days)] = answer.document
        lines.append(
            Line(
                what=f"{days} days, {head} head: bales",
                printed=f"{bales}",
                engine=answer.quantity("hay", "bales", "to_buy_mean"),
                unit="bale",
                **about(bales, 0),
                allowed="none: both round up to whole bales",
                document=name(days),
                settings=herd,
            )
        )
        for price in PRICES:
            settings = herd | {"hay.price_per_ton": price * 2}
            cost = costed(document(days), settings).line("hay", "hay_eaten", "hay_wasted")
            lines.append(
                Line(
                    what=f"{days} days, {head} head, {price} USD a bale",
                    printed=f"{bales * price:,}",
                    engine=cost,
                    unit="USD",
                    low=(bales - 1) * price,
                    high=bales * price,
                    allowed="up to one bale less: the source charges whole bales, the engine hay",
                    document=name(days),
                    settings=settings,
                )
            )
    answer = costed(document(180))
    lines.append(
        Line(
            what="Nutrients in a ton of grass hay",
            printed=f"{PRINTED_WORTH}",
            engine=worth(answer),
            unit="USD/ton",
            **about(PRINTED_WORTH, 0.01),
            allowed="1 cent: rounding",
            document=name(180),
        )
    )
    return Case(
        key="R07",
        title="The hay bill for 180 and for 90 days, and the nutrients in it",
        source="An extension handout, 2010, for a conventional and a rotational grazing farm, "
        "author not named, with nutrients of the Ohio Agronomy Guide; seen whole, second-hand.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Cows", "20, 30 or 45 of 1,200 lb, that are fed 3 % of weight", "printed"),
            PutIn("Days of hay", "180 or 90", "printed"),
            PutIn("Bales", "1,000 lb at 20, 30, 40 or 50 USD", "printed"),
            PutIn("Nutrients in a ton", "40 lb N, 13 lb phosphate, 50 lb potash", "printed"),
            PutIn("Prices a lb", "0.45, 0.57, 0.39 USD", "printed"),
            PutIn("All nutrients come back", "100 %, as the source counts them", "printed"),
            PutIn("Waste, labor, machines, ground", "0", "neutral"),
        ),
        lines=tuple(lines),
        shows="Hay needed from weight, days and head, whole bales to buy, and money. The grazing "
        "of the other 90 days costs nothing here, in the source too.",
        not_printed=("waste", "cost of grazing", "labor", "machines"),
        documents=documents,
    )
