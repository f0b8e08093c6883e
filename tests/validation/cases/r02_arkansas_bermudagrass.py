"""University of Arkansas: warm-season grass kept for winter, a demonstration on 40 acres.

The abstract of the poster was seen; there is no more of it.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.figures import LB_PER_TON, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY, grass, standing

UNITS, DAYS, ACRES = 98, 48, 40
SAVED, SAVED_A_UNIT = 6854.66, 98.91
UREA_LB, UREA_PER_TON, NITROGEN = 125, 836, 0.46
WASTE = {"assumptions.hay_waste.bunk": 0.15}


def document() -> Document:
    """Return animal units on grass for the whole stretch, and on hay."""
    kept = grass(ACRES, nitrogen_lb_per_acre=UREA_LB * NITROGEN)
    return farm(
        DAYS,
        head=UNITS,
        price_year=2022,
        hay={"price_per_ton": 133},
        prices={"nitrogen_per_lb": UREA_PER_TON / LB_PER_TON / NITROGEN},
        systems={"hay": {"plan": [HAY]}, "grass": {"plan": [kept]}},
        baseline="hay",
        assumptions=intake(26) | standing(10_000) | {"stockpile.nitrogen_response": 0},
    )


def side(saved: float) -> str:
    """Return on which side of the printed saving an answer lies."""
    return "less than the print" if saved < SAVED else "more than the print"


def net(answer: Answer) -> float:
    """Return hay saved less fertilizer [USD]."""
    return answer.cost("hay") - answer.cost("grass")


def case() -> Case:
    """Return the saving without and with waste of hay, on both sides of the print."""
    bare, wasted = costed(document()), costed(document(), WASTE)
    low, high = net(bare), net(wasted)
    return Case(
        key="R02",
        title="Warm-season grass kept for winter against hay, 40 acres",
        source="Haller, B. and Simon, K., University of Arkansas Cooperative Extension Service, "
        "2023: Stockpiling warm season grasses to reduce winter feed costs, poster, National "
        "Association of County Agricultural Agents; the abstract seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Animal units, days, acres", "98 of 1,000 lb, 48 days, 40 acres", "printed"),
            PutIn("Urea", "125 lb an acre", "printed"),
            PutIn("Hay", "133 USD a ton, the average of the state", "printed"),
            PutIn(
                "Urea",
                "836 USD a ton: average retail price of late July 2022 (DTN, seen); it was "
                "spread on 4 August",
                "assumed",
            ),
            PutIn("Eaten", "26 lb DM an animal unit and day, as in case R01", "assumed"),
            PutIn("Hay wasted", "none, then 15 %", "assumed"),
            PutIn("Protein tubs", "the same on grass and on hay", "neutral"),
            PutIn("Spreading, fence, labor, land", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Saving, no hay wasted",
                printed=f"{SAVED:,.2f}",
                engine=side(low),
                unit="",
                words="less than the print",
                allowed=f"{low:,.0f} USD: the print must lie above what hay without waste saves",
                document="demonstration",
            ),
            Line(
                what="Saving, 15 % of hay wasted",
                printed=f"{SAVED:,.2f}",
                engine=side(high),
                unit="",
                words="more than the print",
                allowed=f"{high:,.0f} USD: and below what it saves with 15 % wasted",
                document="demonstration",
                settings=WASTE,
            ),
            Line(
                what="Saving an animal unit, 15 % of hay wasted",
                printed=f"{SAVED_A_UNIT}",
                engine=high / UNITS,
                unit="USD/animal unit",
                **within(SAVED_A_UNIT, 0.05),
                allowed="5 %: intake, waste and urea are assumed",
                why=f"The printed total over 98 units is {SAVED / UNITS:.2f}, not 98.91: the two "
                "prints do not follow from each other, and the engine's figure goes with the "
                "total.",
                document="demonstration",
                settings=WASTE,
            ),
        ),
        shows="That the printed total lies where hay saved less fertilizer puts it. Intake, "
        "waste and urea price are not printed, so no closer comparison is to be had.",
        not_printed=("price of urea", "intake", "waste", "tubs", "labor", "fence"),
        misprints=("98.91 an animal unit does not follow from 6,854.66 and 98 units (69.95).",),
        documents={"demonstration": bare.document},
    )
