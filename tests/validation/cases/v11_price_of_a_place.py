"""Teagasc, Ireland: the yearly charge for a cattle place in a shed.

Both articles were seen as text; the table of charges a day in the first is a picture, not seen.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.figures import SQ_FT_PER_SQ_M, within
from tests.validation.neutral import Document, farm, intake, winter
from tests.validation.plans import HAY

HEAD, DAYS, YEARS = 10, 150, 20
UPKEEP = "assumptions.structure.concrete_pad.upkeep_fraction"
MAINTENANCE = 0.10 / YEARS
"""A tenth of the yearly charge, as a share of the cost [fraction/year]."""
AND_MARGIN = 0.20 / YEARS
INTEREST = {"finance.real_rate": 0.05}


def document(cost_per_sq_m: float, sq_m: float) -> Document:
    """Return cattle on a floor that lasts 20 years, and the same cattle on no floor."""
    floor = {"method": "feeding_pad", "structure": "place", "presentation": "bunk"}
    place = {"kind": "concrete_pad", "field": "field"}
    return farm(
        DAYS,
        head=HEAD,
        currency="EUR",
        winter=winter(DAYS) | {"rain_in": 0},
        finance={"horizon_years": YEARS},
        systems={
            "shed": {"plan": [floor], "structures": {"place": place}},
            "field": {"plan": [HAY]},
        },
        baseline="field",
        assumptions=intake(25)
        | {
            "space.concrete_pad.beef_cow": sq_m * SQ_FT_PER_SQ_M,
            "structure.concrete_pad.base_cost": 0,
            "structure.concrete_pad.unit_cost": cost_per_sq_m / SQ_FT_PER_SQ_M,
            "structure.concrete_pad.life_years": YEARS,
        },
    )


def a_head(answer: Answer, *lines: str) -> float:
    """Return lines of the shed for a head and year [EUR/head/year]."""
    return answer.line("shed", *lines) / HEAD


def case() -> Case:
    """Return both prints by straight line, and the first again at 5 % interest."""
    place, slats = document(800 / 2.5, 2.5), document(400, 2.5)
    upkeep = {UPKEEP: AND_MARGIN}
    whole = costed(place, upkeep)
    stated, rebuilt = costed(slats, {UPKEEP: MAINTENANCE}), costed(slats, upkeep)
    paid = costed(place, upkeep | INTEREST)
    both = "structures", "structure_upkeep"
    return Case(
        key="V11",
        title="The yearly charge for a cattle place in a shed",
        source="Teagasc, as reported by Agriland: Guideline costs for renting a shed this winter "
        "(undated, text seen, its table not), and by the Irish Farmers Journal, 2020: What "
        "should you be paying for shed rental? (text seen).",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Place, shed and pad together", "800 EUR a head, interest in it", "printed"),
            PutIn("Slatted unit", "400 EUR a square meter, 2.5 square meters a head", "printed"),
            PutIn("Life", "20 years", "printed"),
            PutIn("Maintenance", "10 % of the yearly charge: 0.5 % of the cost", "derived"),
            PutIn("Margin of the owner", "as much again, put in as upkeep", "derived"),
            PutIn("Interest, value at the end", "0", "neutral"),
            PutIn("Feed, bedding, labor, manure", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Place of 800: its cost over 20 years",
                printed="40",
                engine=a_head(whole, "structures"),
                unit="EUR/head/year",
                **within(40),
                allowed="1 %: rounding",
                document="place",
                settings=upkeep,
            ),
            Line(
                what="Place of 800: with maintenance and margin",
                printed="48",
                engine=a_head(whole, *both),
                unit="EUR/head/year",
                **within(48),
                allowed="1 %: rounding",
                document="place",
                settings=upkeep,
            ),
            Line(
                what="Slatted unit: cost over 20 years",
                printed="20",
                engine=a_head(rebuilt, "structures") / 2.5,
                unit="EUR/square meter/year",
                **within(20),
                allowed="1 %: rounding",
                document="slatted_unit",
                settings=upkeep,
            ),
            Line(
                what="Slatted unit: with 10 % maintenance, as the text says",
                printed="24",
                engine=a_head(stated, *both) / 2.5,
                unit="EUR/square meter/year",
                **within(24),
                allowed="1 %: rounding",
                why="20 and a tenth of it are 22. The printed 24 holds a margin of another tenth, "
                "which the first article names and this one leaves out.",
                document="slatted_unit",
                settings={UPKEEP: MAINTENANCE},
            ),
            Line(
                what="Slatted unit: with maintenance and margin",
                printed="24",
                engine=a_head(rebuilt, *both) / 2.5,
                unit="EUR/square meter/year",
                **within(24),
                allowed="1 %: rounding",
                document="slatted_unit",
                settings=upkeep,
            ),
            Line(
                what="Slatted unit: an animal of one and a half to two years",
                printed="60",
                engine=a_head(rebuilt, *both),
                unit="EUR/head/year",
                **within(60),
                allowed="1 %: rounding",
                document="slatted_unit",
                settings=upkeep,
            ),
            Line(
                what="Place of 800: its cost over 20 years at 5 % interest",
                printed="-",
                engine=a_head(paid, "structures"),
                unit="EUR/head/year",
                why="The source says that interest is inside the 800 and charges 40. A farm that "
                "pays or forgoes 5 % on 800 has more than half as much again to pay each year.",
                document="place",
                settings=upkeep | INTEREST,
            ),
        ),
        shows="Straight line, life, size by head and upkeep; and what interest would do, which "
        "the print leaves out.",
        not_printed=("rate of interest", "value at the end", "bedding", "labor", "slurry"),
        misprints=("Maintenance of 10 % on 20 gives 22, not 24.",),
        documents={"place": whole.document, "slatted_unit": rebuilt.document},
    )
