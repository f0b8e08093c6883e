"""A Scottish farm: cows on straw in a shed against cows on a hybrid brassica in the field.

The section of the article with these figures was seen.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import GALLON_PER_LITER, LB_PER_TON, head_days, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import grass, standing, task

DAYS, COWS = 90, 77
HOUSED, CROP = 1.60, 1.01
LITERS, DIESEL = 4500, 0.60
EATEN = 26.0
"""Dry matter [lb/head/day]."""
STRAW_LB, STRAW_PER_TON = 6.0, 100.0
BURNED = 4.4
"""Fuel of a tractor of 100 hp [gallon/hour]."""
FEED = "hay_eaten", "bedding", "stockpile_forage"


def document() -> Document:
    """Return the cows in the shed and on the crop, each day at its printed cost."""
    silage = (HOUSED - STRAW_LB * STRAW_PER_TON / LB_PER_TON) / EATEN * LB_PER_TON
    tractor = {
        "class": "tractor_80_to_149",
        "list_price": 1,
        "price": 0,
        "age_years": 0,
        "years_kept": 1,
        "hours_per_year": 500,
        "hours_so_far": 0,
        "pto_hp": 100,
    }
    minutes = LITERS * GALLON_PER_LITER / BURNED / DAYS * 60
    shed = {"method": "bedded_pack", "structure": "shed", "presentation": "bunk"}
    return farm(
        DAYS,
        head=COWS,
        currency="GBP",
        price_year=2019,
        hay={"price_per_ton": silage},
        land={"forage_value_per_ton_dm": CROP / EATEN * LB_PER_TON},
        machines={"tractor": tractor},
        prices={
            "bedding_per_ton": STRAW_PER_TON,
            "diesel_per_gallon": DIESEL / GALLON_PER_LITER,
        },
        systems={
            "housed": {"plan": [shed], "structures": {"shed": {"kind": "pack_floor", "price": 0}}},
            "outwintered": {"plan": [grass(COWS)]},
        },
        baseline="housed",
        assumptions=intake(EATEN)
        | standing(EATEN * DAYS)
        | task("bedded_pack.feed", per="day", machine_minutes=minutes, machine="tractor")
        | {
            "bedding.fraction_of_body_weight.pack_floor.firm": STRAW_LB / 1000,
            "space.pack_floor.beef_cow": 40,
            "structure.pack_floor.life_years": 20,
            "machine.fuel_gallon_per_pto_hp_hour": BURNED / 100,
            "machine.lubrication_fraction": 0,
            "machine.taxes_insurance_housing_fraction": 0,
        }
        | {f"machine.remaining_value.tractor_80_to_149.{key}": 0 for key in ("c1", "c2", "c3")}
        | {f"machine.repair.tractor_80_to_149.{key}": 0 for key in ("rf1", "rf2")},
    )


def case() -> Case:
    """Return what a day and a winter outside save, feed and bedding apart from fuel."""
    answer = costed(document())
    saved = answer.line("housed", *FEED) - answer.line("outwintered", *FEED)
    fuel = answer.line("housed", "machinery") - answer.line("outwintered", "machinery")
    return Case(
        key="V09",
        title="Straw-bedded shed against a brassica crop grazed in the field",
        source="Farm Profit Programme, Scotland, North Cranna farm, in the Irish Farmers Journal "
        "(about 2019; the year is inferred): 10 reasons to outwinter cows this year; the "
        "sections on feed, bedding and fuel seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Feed and bedding in the shed", "1.60 GBP a cow and day", "printed"),
            PutIn("Feed on the crop", "1.01 GBP a cow and day", "printed"),
            PutIn("Winter", "90 days", "printed"),
            PutIn("Diesel saved", "4,500 l at 0.60 GBP", "printed"),
            PutIn("Cows", "77: 2,700 GBP at just over 35 each", "derived"),
            PutIn("Dry matter eaten, in and out", "26 lb a day", "assumed"),
            PutIn("Straw", "6 lb a cow and day at 100 GBP a ton", "assumed"),
            PutIn("Silage", "100 GBP a ton DM: what the straw leaves of 1.60", "derived"),
            PutIn("Crop", "78 GBP a ton DM as it stands: 1.01 for 26 lb", "derived"),
            PutIn("Tractor", "burns 4.4 US gallons an hour, costs nothing else", "neutral"),
            PutIn("Shed, labor, manure, ground", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Saved a cow and day, feed and bedding",
                printed="0.59",
                engine=saved / head_days(answer),
                unit="GBP/head/day",
                **within(0.59),
                allowed="1 %: rounding",
                document="farm",
            ),
            Line(
                what="Saved a cow in 90 days, feed and bedding",
                printed="53",
                engine=saved / COWS,
                unit="GBP/head",
                **within(53),
                allowed="1 %: rounding",
                document="farm",
            ),
            Line(
                what="Diesel saved",
                printed="2,700",
                engine=fuel,
                unit="GBP",
                **within(2700),
                allowed="1 %: rounding",
                document="farm",
            ),
            Line(
                what="Feed, bedding and diesel together",
                printed="-",
                engine=(saved + fuel) / COWS,
                unit="GBP/head",
                why="The source adds no total, and the herd is worked back from its 35 a cow.",
                document="farm",
            ),
        ),
        shows="That feed, bedding and fuel stay apart and add up. Both days are put in at their "
        "printed cost, split by assumption, so little more than a subtraction is tested. "
        "Labor, shed, manure and the ground are left out by the source, and not by a farm.",
        not_printed=(
            "head",
            "feed apart from bedding",
            "yield and cost of the crop",
            "labor",
            "the shed",
            "manure",
            "damage to the ground",
        ),
        documents={"farm": answer.document},
    )
