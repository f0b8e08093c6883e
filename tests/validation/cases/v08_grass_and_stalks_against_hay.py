"""Iowa State University: hay that grazing in winter saved, by the days before hay was begun."""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.neutral import Document, farm

LB_PER_KG = 2.20462262
KG_PER_TON = 2000 / LB_PER_KG
HEAD = 20
WEIGHT = 506
"""Weight of the cows [kg]."""
WINTER = 135
"""Middle of the printed 129 to 141 days [day]."""
PRINTED = {
    "tall fescue and alfalfa": (85, 1069),
    "smooth brome and red clover": (83, 1031),
    "corn stalks": (57, 627),
}
"""By what was grazed: days before hay was begun, and hay saved [kg DM/head]."""
BAND = 0.15
STALKS = (
    "The engine knows no stalks: a day on which they are grazed saves it a whole day of hay, as on "
    "grass. In the trial cows on stalks saved 11.0 kg a day, on grass 12.5: some hay was fed "
    "beside the stalks, or the days were counted otherwise."
)


def document(days: int) -> Document:
    """Return cows on hay all winter, and cows that graze for some days first."""
    hay = {"method": "sacrifice_lot", "field": "field", "presentation": "ring_open"}
    grass = {
        "method": "stockpile_grazing",
        "field": "field",
        "acres": 1000,
        "closing_date": "08-15",
        "dormancy_date": "10-31",
        "max_days": days,
    }
    return farm(
        WINTER,
        head=HEAD,
        reference_edition="2026.1",
        winter={"first_day": "11-01", "last_day": "03-15", "ground_days": {"frozen": WINTER}},
        herd={
            "cows": {
                "animal": "beef_cow",
                "head": HEAD,
                "body_weight_lb": WEIGHT * LB_PER_KG,
                # The tables have the same intake for the middle of pregnancy, without a date.
                "stage": "maintenance",
            }
        },
        machines={"tractor": {"custom_rate_per_hour": 0}},
        systems={"hay": {"plan": [hay]}, "grazed": {"plan": [grass, hay]}},
        baseline="hay",
    )


def saved(answer: Answer) -> float:
    """Return the hay, eaten and wasted, that grazing saves [kg DM/head]."""

    def fed(system: str) -> float:
        tons = answer.quantity(system, "hay_eaten_ton_dm")
        return tons + answer.quantity(system, "hay_wasted_ton_dm")

    return (fed("hay") - fed("grazed")) * KG_PER_TON / HEAD


def case() -> Case:
    """Return hay saved by each forage, in all and a day."""
    lines: list[Line] = []
    documents: dict[str, Document] = {}
    a_day: dict[str, float] = {}
    for name, (days, printed) in PRINTED.items():
        answer = costed(document(days))
        key = f"{days}_days"
        documents[key] = answer.document
        a_day[name] = saved(answer) / days
        lines.append(
            Line(
                what=f"Hay saved by {name}",
                printed=f"{printed:,} kg DM/cow",
                engine=saved(answer),
                unit="kg DM/cow",
                low=printed * (1 - BAND),
                high=printed * (1 + BAND),
                allowed="15 %: intake and waste of the herd on hay are not printed",
                why=STALKS if name == "corn stalks" else "",
                document=key,
            )
        )
    grass, stalks = a_day["tall fescue and alfalfa"], a_day["corn stalks"]
    lower = "lower" if stalks < 0.99 * grass else "the same"
    lines.append(
        Line(
            what="Hay saved by a day on corn stalks, against a day on grass",
            printed="lower (11.0 against 12.6 kg DM)",
            engine=lower,
            unit="sign",
            words="lower",
            allowed="the sign alone",
            why=STALKS,
            document="57_days",
        )
    )
    return Case(
        key="V08",
        title="Hay saved by grazing grass or corn stalks in winter",
        source="Hitz, A. C., and Russell, J. R., 1998: Potential of stockpiled perennial forages "
        "in winter grazing systems for pregnant beef cows, Journal of Animal Science 76, Iowa "
        "State University (abstract seen).",
        claim="agrees_with_measurement",
        put_in=(
            PutIn("Cows in the middle of pregnancy", "506 kg", "printed"),
            PutIn("Days before hay was begun", "85, 83, 57", "printed"),
            PutIn("Winter, of 129 to 141 days", "135 days", "derived"),
            PutIn("Intake; waste at open rings", "2.0 % of weight; 17 %", "tables"),
            PutIn("Hay", "of average quality, fed in open rings on frozen ground", "assumed"),
            PutIn("Acres", "enough for the days", "neutral"),
            PutIn("Cold", "no temperature is given", "neutral"),
        ),
        lines=tuple(lines),
        shows="Weight and days alone, with intake and waste from the tables, give the hay that "
        "three winters of cows did without. It does not show how many days an acre lasts: yields "
        "were not in the abstract.",
        not_printed=("intake and waste of the herd on hay", "hay's quality", "yields", "prices"),
        documents=documents,
    )
