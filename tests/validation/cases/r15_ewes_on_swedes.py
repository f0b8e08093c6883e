"""A Welsh farm, told in Farmers Weekly: ewes strip-grazed on swedes."""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.neutral import Document, farm

HECTARES, EWES, DAYS = 4, 500, 76
ACRE_PER_HECTARE = 2.47105381
LB_PER_KG = 2.20462262
YIELD = 13_000 * LB_PER_KG / ACRE_PER_HECTARE
"""Dry matter of the crop [lb/acre]."""
PRINTED = HECTARES * 13_000 / EWES / DAYS
"""What each ewe is allowed a day [kg DM]."""
BAND = 0.15
SHORT = (
    "At the tables' intake the crop would last 73 days if all of it were eaten. The tables let "
    "70 % be eaten at a daily move; that figure is of grass, and they have none of roots."
)


def document() -> Document:
    """Return ewes in lamb on a crop put in as grass, before hay."""
    hay = {"method": "sacrifice_lot", "presentation": "sheep_rack", "field": "field"}
    crop = {
        "method": "stockpile_grazing",
        "field": "field",
        "acres": HECTARES * ACRE_PER_HECTARE,
        "closing_date": "08-01",
        "dormancy_date": "11-09",
        "days_per_move": 1,
    }
    return farm(
        DAYS,
        head=EWES,
        currency="GBP",
        price_year=2014,
        reference_edition="2026.1",
        winter={"first_day": "12-25", "last_day": "03-10", "ground_days": {"firm": DAYS}},
        herd={
            "ewes": {
                "animal": "ewe",
                "head": EWES,
                "body_weight_lb": 62 * LB_PER_KG,
                "birth_starts": "04-23",
                "birth_season_days": 1,
            }
        },
        machines={"tractor": {"custom_rate_per_hour": 0}},
        systems={"crop_first": {"plan": [crop, hay]}},
        baseline="crop_first",
        assumptions={
            # 100 days from closing to the end of growth.
            "stockpile.growth_lb_dm_per_acre_day": YIELD / 100,
            "stockpile.winter_loss": 0,
            "stockpile.tdn_fraction": 0.75,
        },
    )


def case() -> Case:
    """Return intake and days."""
    answer = costed(document())
    system = answer.costing["systems"][0]["quantities"]
    days = system["served_days"]["stockpile_grazing"]["firm"]
    a_day = system["stockpile_eaten_ton_dm"] * 2000 / LB_PER_KG / EWES / days
    lines = (
        Line(
            what="What a ewe eats a day, against what the crop allowed her",
            printed="1.37 kg DM (worked from the print)",
            engine=a_day,
            unit="kg DM/ewe/day",
            low=PRINTED * (1 - BAND),
            high=PRINTED * (1 + BAND),
            allowed="15 %: how much was left is not printed",
            document="ewes",
        ),
        Line(
            what="Days that 4 ha feed 500 ewes",
            printed="two and a half months",
            engine=days,
            unit="days",
            low=DAYS * (1 - BAND),
            high=DAYS * (1 + BAND),
            allowed="15 %: 'two and a half months' is rounded",
            why=SHORT,
            document="ewes",
        ),
        Line(
            what="Cost a ewe, housed against on swedes",
            printed="25 against 4.00 to 4.50 GBP",
            engine="-",
            unit="GBP/ewe",
            why="Not rebuilt: what the two sums are made of was not printed; of 25 GBP in straw, "
            "concentrates, silage and machines no part is known.",
            document="ewes",
        ),
    )
    return Case(
        key="R15",
        title="Ewes in lamb on swedes",
        source="Farmers Weekly, United Kingdom, about 2014: a farm in Wales that changed its breed "
        "of sheep (second-hand: a farm's own account in the press; seen).",
        claim="agrees_with_measurement",
        put_in=(
            PutIn("Ewes", "500 of 62 kg", "printed"),
            PutIn("Swedes", "4 ha of 13 t DM/ha", "printed"),
            PutIn("Two and a half months", "76 days", "derived"),
            PutIn("Season", "from 25 December; lambing outdoors from 23 April", "assumed"),
            PutIn("Intake of good feed; share eaten", "2.3 % of weight; 70 %", "tables"),
            PutIn("Swedes", "put in as grass of 75 % TDN", "assumed"),
        ),
        lines=lines,
        shows="One farm and one year: that the tables' intake of ewes is near what a crop allowed "
        "them. It shows nothing of the cost.",
        not_printed=("crop left over", "day of lambing", "both costs by item"),
        documents={"ewes": answer.document},
    )
