"""Ohio State University Extension: nitrogen on grass kept for winter, and whether it pays.

Two tables of net dollars an acre, 30 cells of 2012 and 18 of 2019, were seen whole.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.neutral import Document, farm, intake

HAY = (30, 40, 50, 60, 100, 150)
"""Value of a ton of hay, dry matter [USD/ton DM]."""
PRINTED: dict[int, dict[int, tuple[float, ...]]] = {
    2012: {
        700: (-14.04, -4.04, 5.96, 15.96, 55.96, 105.96),
        650: (-11.32, -1.32, 8.68, 18.68, 58.68, 108.68),
        600: (-8.60, 1.40, 11.40, 21.40, 61.40, 111.40),
        550: (-5.89, 4.11, 14.11, 24.11, 64.11, 114.11),
        500: (-3.17, 9.83, 16.83, 26.83, 66.83, 116.83),
    },
    2019: {
        550: (-5.89, 4.11, 14.11, 24.11, 64.11, 114.11),
        500: (-3.17, 6.83, 16.83, 26.83, 66.83, 116.83),
        400: (2.26, 12.26, 22.26, 32.74, 72.26, 122.26),
    },
}
"""Net value of stockpiling, by year of print and price of urea [USD/ton]: [USD/acre]."""
WHY = {
    (2012, 500, 40): "Misprint: its neighbors are 10.00 apart, so 6.83 follows; the reprint of "
    "2019 has 6.83.",
    (2019, 400, 60): "Misprint: its neighbors are 10.00 apart, so 32.26 follows.",
}
NITROGEN_IN_UREA = 0.46
CENT = 0.02


def document() -> Document:
    """Return an acre of grass with 50 lb of nitrogen, which grows one short ton on it."""
    hay = {"method": "sacrifice_lot", "presentation": "bunk", "field": "field"}
    grass = {
        "method": "stockpile_grazing",
        "field": "field",
        "acres": 1,
        "closing_date": "08-15",
        "dormancy_date": "10-31",
        "nitrogen_lb_per_acre": 50,
        "days_per_move": 1,
    }
    return farm(
        30,
        head=10,
        systems={"hay": {"plan": [hay]}, "grass_first": {"plan": [grass, hay]}},
        baseline="hay",
        assumptions=intake(25)
        | {"stockpile.nitrogen_response": 40, "stockpile.spreading_cost_per_acre": 6},
    )


def net(answer: Answer) -> float:
    """Return the hay that grass saves, less nitrogen and spreading [USD/acre]."""
    return answer.cost("hay") - answer.cost("grass_first")


def case() -> Case:
    """Return all 48 cells."""
    lines: list[Line] = []
    whole: Document = {}
    for year, table in PRINTED.items():
        for urea, cells in table.items():
            for hay, printed in zip(HAY, cells, strict=True):
                settings = {
                    "hay.price_per_ton": hay,
                    "prices.nitrogen_per_lb": urea / 2000 / NITROGEN_IN_UREA,
                }
                answer = costed(document(), settings)
                whole = answer.document
                lines.append(
                    Line(
                        what=f"{year}: urea {urea}, hay {hay}",
                        printed=f"{printed:.2f}",
                        engine=net(answer),
                        unit="USD/acre",
                        low=printed - CENT,
                        high=printed + CENT,
                        allowed="two cents: the tables are rounded",
                        why=WHY.get((year, urea, hay), ""),
                        document="an_acre",
                        settings=settings,
                    )
                )
    return Case(
        key="V02",
        title="Nitrogen on stockpiled grass against hay, an acre",
        source="Little, C., Ohio State University Extension: Does it pay to stockpile fescue and "
        "orchardgrass? (2012), and Stockpiling fescue and orchardgrass (2019), beef newsletter; "
        "both tables seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Grass that nitrogen grows", "2,000 lb DM/acre", "printed"),
            PutIn("Nitrogen, as urea of 46 %", "50 lb/acre", "printed"),
            PutIn("Spreading", "6 USD/acre", "printed"),
            PutIn("Urea", "400 to 700 USD/ton", "printed"),
            PutIn("Hay", "30 to 150 USD/ton DM", "printed"),
            PutIn("Cows, 25 lb DM a day, 30 days", "10", "assumed"),
            PutIn("Grass without nitrogen, waste, work, land", "0", "neutral"),
        ),
        lines=tuple(lines),
        shows="The value of added nitrogen: response, price and spreading against hay saved. No "
        "waste, no labor, no fence, no land: a margin, not a whole system.",
        not_printed=("share of the grass that is eaten", "herd", "labor", "fence", "land"),
        misprints=tuple(WHY.values()),
        documents={"an_acre": whole},
    )
