"""University of Missouri figures in a University of Georgia sheet: four ways through 130 days.

The text of the sheet was seen, its table in part.
"""

from dataclasses import dataclass

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import LB_PER_TON, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY, grass, standing

COWS, DAYS, HAY_DAY, EATEN = 100, 130, 1.32, 25.0


@dataclass(frozen=True)
class Winter:
    """A column of the table.

    Attributes
    ----------
    title : str
        What is grazed.
    grazed : int
        Days of it [day].
    day : float
        What a day of it costs [USD/head/day].
    printed : float
        Printed cost of the winter [USD/head].
    why : str
        Why the print does not follow; empty where it does.
    """

    title: str
    grazed: int
    day: float
    printed: float
    why: str = ""


WINTERS = {
    "corn_residue": Winter(
        "Corn residue",
        60,
        0.05,
        122,
        "60 days at 0.05 and 70 of hay at 1.32 are 95; 122 would take 91 days of hay.",
    ),
    "stockpile": Winter(
        "Stockpiled fescue",
        90,
        0.31,
        70,
        "90 days at 0.31 and 40 of hay at 1.32 are 81; 70 would take 29 days of hay.",
    ),
    "ryegrass_rye": Winter("Ryegrass and rye", 90, 0.61, 108),
}


def document(way: Winter) -> Document:
    """Return the cows on hay alone, and on a crop that stands for just its days before hay."""
    crop = grass(COWS, key="crop")
    return farm(
        DAYS,
        head=COWS,
        price_year=2000,
        hay={"price_per_ton": HAY_DAY / EATEN * LB_PER_TON},
        land={"forage_value_per_ton_dm": way.day / EATEN * LB_PER_TON},
        systems={"hay": {"plan": [HAY]}, "crop_first": {"plan": [crop, HAY]}},
        baseline="hay",
        assumptions=intake(EATEN) | standing(EATEN * way.grazed),
    )


def case() -> Case:
    """Return each column: two that follow and two that do not."""
    answers = {key: costed(document(way)) for key, way in WINTERS.items()}
    first = next(iter(answers))
    alone = Line(
        what="Hay for all 130 days",
        printed="172",
        engine=answers[first].cost("hay") / COWS,
        unit="USD/head",
        **within(172),
        allowed="1 %: rounding",
        document=first,
    )
    crops = tuple(
        Line(
            what=f"{way.title} for {way.grazed} days, then hay",
            printed=f"{way.printed}",
            engine=answers[key].cost("crop_first") / COWS,
            unit="USD/head",
            **within(way.printed),
            allowed="1 %: rounding",
            why=way.why,
            document=key,
        )
        for key, way in WINTERS.items()
    )
    return Case(
        key="R10",
        title="Four ways through 130 days of winter, a head",
        source="Andrae, J., University of Georgia, Crop and Soil Sciences, Decreasing winter hay "
        "needs using stockpiled forages (undated), Table 1, from University of Missouri trials "
        "summed up by J. Gerrish; the text seen, the table in part.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Cows, days", "100, 130 days", "printed"),
            PutIn("A day of hay", "1.32 USD", "printed"),
            PutIn(
                "A grazing day",
                "0.05 USD on corn residue, 0.31 on fescue, 0.61 on ryegrass and rye",
                "printed",
            ),
            PutIn("Days grazed", "60, 90 and 90; the rest hay", "printed"),
            PutIn("Eaten", "25 lb DM a day, on everything", "neutral"),
            PutIn("Price of hay and crop a ton", "what makes the printed day", "derived"),
        ),
        lines=(alone, *crops),
        shows="Days on a crop first and the rest on hay, and that the plan adds up. The cost of "
        "each day is put in. The engine has no method of its own for residue or rye: both stand "
        "in the field like stockpiled grass.",
        not_printed=("price of hay", "intake", "waste", "yield and cost of each crop", "labor"),
        misprints=tuple(way.why for way in WINTERS.values() if way.why),
        documents={key: answer.document for key, answer in answers.items()},
    )
