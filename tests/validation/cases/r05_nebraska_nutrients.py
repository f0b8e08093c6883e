"""University of Nebraska: what a ton of alfalfa is worth as fertilizer once it is fed.

The column was seen whole, and a later print of the same example in part.
"""

from typing import Any

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import about, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY

COWS, DAYS, LB_A_DAY = 100, 20, 30
TONS = COWS * DAYS * LB_A_DAY / 2000
PRICES: dict[str, float | str] = {
    "prices.nitrogen_per_lb": 0.70,
    "prices.p2o5_per_lb": 0.65,
    "prices.k2o_per_lb": 0.50,
}
KEPT = "nutrient_kept.concentrated_by_animals."
MISPRINTED = 0.6
"""Phosphorus in a ton at the printed 0.03 % [lb/ton]."""


def document(phosphorus: float = 6) -> Document:
    """Return 100 cows that eat 30 lb of alfalfa a day, and give back all but some nitrogen."""
    contents: dict[str, Any] = {
        "nutrient.in_hay_lb_per_ton_dm.p2o5": phosphorus,
        "nutrient.in_hay_lb_per_ton_dm.k2o": 48,
        KEPT + "n": 0.35,
        KEPT + "p2o5": 1,
        KEPT + "k2o": 1,
    }
    shares = {
        f"nutrient.{name}_fraction.{x}": 1
        for name in ("excreted", "usable")
        for x in ("n", "p2o5", "k2o")
    }
    return farm(
        DAYS,
        head=COWS,
        price_year=2012,
        hay={"crude_protein_fraction": 0.17},
        prices={"nutrient_value_counted": "full"},
        systems={"fed": {"plan": [HAY]}},
        baseline="fed",
        assumptions=intake(LB_A_DAY) | contents | shares,
    )


def case() -> Case:
    """Return pounds and dollars of each nutrient, and the printed total that does not add up."""
    answer = costed(document(), PRICES)
    weight = {
        (name, x): answer.quantity("fed", f"nutrients_{name}_lb", x) / TONS
        for name in ("in", "kept")
        for x in ("n", "p2o5", "k2o")
    }
    worth = {
        key: -costed(document(), {key: price}).line("fed", "nutrient_credit") / TONS
        for key, price in PRICES.items()
    }

    def line(what: str, printed: str, engine: float, value: float, **more: Any) -> Line:
        unit = more.pop("unit", "lb/ton")
        band = within(value) if value > 1 else about(value, 0.01)
        return Line(
            what=what,
            printed=printed,
            engine=engine,
            unit=unit,
            **band,
            allowed="1 %: rounding",
            document="alfalfa",
            settings=more.pop("settings", PRICES),
            **more,
        )

    def money(key: str) -> dict[str, Any]:
        return {"engine": worth[key], "unit": "USD/ton", "settings": {key: PRICES[key]}}

    return Case(
        key="R05",
        title="Fertilizer value of a ton of alfalfa that is fed",
        source="Berger, A., University of Nebraska-Lincoln Extension, in Wyoming Livestock "
        "Roundup: Nutrients in hay hold value as fertilizer (undated, seen); a later print of "
        "the example in On Pasture, 2022, seen in part.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Alfalfa as fed", "17 % crude protein, 2.4 % potassium", "printed"),
            PutIn("Phosphorus", "0.3 %, as in the later print; this one has 0.03 %", "printed"),
            PutIn("Excreted", "all", "printed"),
            PutIn("Nitrogen that is left for plants", "35 %", "printed"),
            PutIn("Prices a lb of N, P, K", "0.70, 0.65, 0.50 USD", "printed"),
            PutIn("Cows, 30 lb a day", "100, for 20 days", "neutral"),
        ),
        lines=(
            line("Nitrogen in a ton", "54.4", weight["in", "n"], 54.4),
            line("Nitrogen left for plants", "19", weight["kept", "n"], 19),
            line("Phosphorus", "6", weight["kept", "p2o5"], 6),
            line(
                "Phosphorus at the printed 0.03 %",
                "6",
                costed(document(MISPRINTED), PRICES).quantity("fed", "nutrients_kept_lb", "p2o5")
                / TONS,
                6,
                why="Misprint: 0.03 % of a ton is 0.6 lb. The later print has 0.3 %.",
                settings=PRICES | {"assumptions.nutrient.in_hay_lb_per_ton_dm.p2o5": MISPRINTED},
            ),
            line("Potassium, first mention", "48", weight["kept", "k2o"], 48),
            line(
                "Potassium, second mention",
                "52",
                weight["kept", "k2o"],
                52,
                why="2.4 % of 2,000 lb are 48, as the source itself says in the sentence before.",
            ),
            line("Nitrogen in money", "13.30", value=13.30, **money("prices.nitrogen_per_lb")),
            line(
                "Phosphorus in money",
                "4.20",
                value=4.20,
                why="6 lb at 0.65 are 3.90; 4.20 is 6 lb at the price of nitrogen.",
                **money("prices.p2o5_per_lb"),
            ),
            line(
                "Potassium in money",
                "26",
                value=26,
                why="48 lb at 0.50 are 24; 26 takes the 52 lb.",
                **money("prices.k2o_per_lb"),
            ),
            line(
                "All three in money",
                "43.50",
                -answer.line("fed", "nutrient_credit") / TONS,
                43.50,
                why="The two slips above add 2.30.",
                unit="USD/ton",
            ),
        ),
        shows="Nitrogen from crude protein, the share that is kept, and its worth. It does not "
        "show that 35 % is right: case R06 takes 75 %, and the two differ by a factor of two.",
        not_printed=("where the hay is fed", "wasted hay", "losses of potassium"),
        misprints=(
            "Phosphorus of 0.03 % should be 0.3 %.",
            "Potassium is 48 lb in one line and 52 in the next.",
            "Phosphorus is priced at 0.70 and not at its own 0.65.",
        ),
        documents={"alfalfa": answer.document},
    )
