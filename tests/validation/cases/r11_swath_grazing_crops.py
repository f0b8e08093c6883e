"""Agriculture and Agri-Food Canada, Lacombe: cow-days a hectare of three crops grazed in swaths."""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.neutral import Document, farm, intake

WEIGHT_LB = 690 * 2.20462262
BARLEY = 5000
"""Yield that takes no part: only ratios are compared [lb DM/acre]."""
CROPS = {
    "barley": (1.0, 0.717, 554, 1.24),
    "corn": (1.32, 0.747, 1004, 1.05),
    "triticale": (1.32 * 1.15, 0.837, 1145, 0.78),
}
"""By crop: yield against barley, share eaten, cow-days a hectare, cost a cow-day [CAD]."""
BAND = 0.15
QUALITY = (
    "Yield and share eaten, as printed, do not give the printed cow-days; corn gave a third more. "
    "Cows may have eaten less of the better feed (corn was 68 % digestible, barley 57 %), or were "
    "given it longer. What they ate was not printed, so here they eat the same of each."
)


def document() -> Document:
    """Return a hectare's worth of a standing crop, grazed before hay."""
    hay = {"method": "sacrifice_lot", "presentation": "bunk", "field": "field"}
    crop = {
        "method": "stockpile_grazing",
        "field": "field",
        "acres": 1,
        "closing_date": "08-01",
        "dormancy_date": "11-09",
        "days_per_move": 1,
    }
    return farm(
        300,
        head=2,
        currency="CAD",
        price_year=2014,
        herd={
            "cows": {
                "animal": "beef_cow",
                "head": 2,
                "body_weight_lb": WEIGHT_LB,
                "stage": "maintenance",
            }
        },
        systems={"crop_first": {"plan": [crop, hay]}},
        baseline="crop_first",
        assumptions=intake(30, body_weight_lb=WEIGHT_LB),
    )


def case() -> Case:
    """Return capacities against barley's."""
    days: dict[str, float] = {}
    settings: dict[str, dict[str, float | str]] = {}
    whole: Document = {}
    for crop, (against_barley, eaten, _, _) in CROPS.items():
        settings[crop] = {
            "assumptions.stockpile.growth_lb_dm_per_acre_day": BARLEY * against_barley / 100,
            "assumptions.stockpile.utilization.1": eaten,
        }
        answer = costed(document(), settings[crop])
        whole = answer.document
        served = answer.costing["systems"][0]["quantities"]["served_days"]
        days[crop] = 2 * served["stockpile_grazing"]["firm"]
    lines = [
        Line(
            what=f"Cow-days a hectare of {crop} against {other}",
            printed=f"{CROPS[crop][2] / CROPS[other][2]:.2f} times",
            engine=days[crop] / days[other],
            unit="times",
            low=CROPS[crop][2] / CROPS[other][2] * (1 - BAND),
            high=CROPS[crop][2] / CROPS[other][2] * (1 + BAND),
            allowed="15 %: yields are printed as ratios, intake is not printed",
            why=QUALITY,
            document="a_crop",
            settings=settings[crop],
        )
        for crop, other in (("triticale", "barley"), ("corn", "barley"), ("triticale", "corn"))
    ]
    lines.append(
        Line(
            what="Cost a cow-day: triticale, corn, barley, pens",
            printed="0.78, 1.05, 1.24, 1.98 CAD",
            engine="-",
            unit="CAD/cow-day",
            why="Not rebuilt: neither what a hectare of a crop costs nor what is in the pens' "
            "ration, work and machines was in the abstract, and the engine has no swaths.",
            document="a_crop",
        )
    )
    return Case(
        key="R11",
        title="Cow-days a hectare of triticale, corn and barley grazed in swaths",
        source="Baron, V. S., Doce, R. R., Basarab, J., and Dick, C., 2014: Swath-grazing "
        "triticale and corn compared to barley and a traditional winter feeding method in central "
        "Alberta, Canadian Journal of Plant Science 94: 1125-1137 (abstract seen).",
        claim="agrees_with_measurement",
        put_in=(
            PutIn("Cows", "690 kg", "printed"),
            PutIn("Yields", "triticale 15 % over corn, corn 32 % over barley", "printed"),
            PutIn("Share eaten: triticale, corn, barley", "83.7, 74.7, 71.7 %", "printed"),
            PutIn("Yield of barley, and intake", "the same for all", "neutral"),
            PutIn("Swaths", "put in as stockpiled grass", "assumed"),
        ),
        lines=tuple(lines),
        shows="Capacity is yield times share eaten over intake, and intake differs by crop: with "
        "one intake for all, corn comes out a quarter short.",
        not_printed=("yields a hectare", "intake by crop", "costs by item"),
        documents={"a_crop": whole},
    )
