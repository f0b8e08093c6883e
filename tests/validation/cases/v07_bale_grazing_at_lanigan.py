"""Lanigan, Saskatchewan: bales on grass, shredded hay on grass, and pens, in one winter."""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.neutral import Document, farm

ACRE_PER_HECTARE = 2.47105381
KG_PER_LB = 1 / 2.20462262
K_IN_K2O = 0.8301
"""Potassium in a lb of K2O, by weights of atoms [lb/lb]."""
COWS, ACRES, BALES = 32, 5, 144
SQFT_PER_ACRE = 43_560
FARM_BALES = 779
"""What 200 cows use, so that none is left over to be fetched in [bale]."""
SPACING = (ACRES * SQFT_PER_ACRE / BALES) ** 0.5
"""At which 144 bales cover five acres [ft]."""
WAYS = {"grazed": "bale grazing", "shredded": "shredding on grass"}
CLOSE = 0.05
FEED = (
    "The feed on a hectare, some 25 tonnes of dry matter, would have to hold nearly 5 % of "
    "potassium, twice what hay has. A soil test finds more than the feed brought, or was taken "
    "where most of it fell."
)
TOP_OF_RANGE = (
    "12,000 CAD a year for 200 cows and 120 days is 0.50 a cow and day, the top of the printed "
    "0.40 to 0.50."
)
NO_GRINDING = (
    "The printed saving is larger. The pens of the trial got ground hay every day; grinding, and "
    "any bedding, are not in this pen, since no rate was printed and the tables have none. Hay on "
    "grass also wastes 12 to 17 % here, against 7 to 9 % in a bunk."
)


def trial() -> Document:
    """Return 32 cows on 144 bales, set out on five acres, at the printed pace.

    Two groups of sixteen got a bale of hay and one of straw every three days: intake and bales
    are set to that, so a bale lasts sixteen cows a day and a half.
    """
    intake = 27
    return farm(
        130,
        head=COWS,
        currency="CAD",
        price_year=2004,
        reference_edition="2026.1",
        winter={"first_day": "11-20", "last_day": "03-29", "ground_days": {"snow_covered": 130}},
        herd={
            "cows": {
                "animal": "beef_cow",
                "head": COWS,
                "body_weight_lb": 1350,
                "stage": "maintenance",
            }
        },
        hay={
            "bale_weight_lb": intake * COWS / 2 * 1.5 / (1 - 0.17),
            "crude_protein_fraction": 0.07,
        },
        systems={
            "grazed": {
                "plan": [
                    {
                        "method": "bale_grazing",
                        "field": "field",
                        "bales_set_out": BALES,
                        "spacing_ft": SPACING,
                        "presentation": "bales_in_place",
                    },
                    {"method": "sacrifice_lot", "field": "field", "presentation": "bunk"},
                ]
            }
        },
        machines={"tractor": {"custom_rate_per_hour": 0}},
        prices={"nitrogen_per_lb": 1, "nutrient_value_counted": "full"},
        baseline="grazed",
        assumptions={"intake.beef_cow.maintenance.average": intake / 1350},
    )


def farm_of_200() -> Document:
    """Return the 200 cows and 120 days of the printed worked example, in three ways."""
    pen = {"kind": "gravel_pad", "existing": True, "remaining_life_years": 100, "price": 0}
    shredded = {"method": "unrolled_hay", "field": "field", "presentation": "unrolled_daily"}
    grazed = {
        "method": "bale_grazing",
        "field": "field",
        "bales_set_out": FARM_BALES,
        "spacing_ft": SPACING,
        "presentation": "bales_in_place",
        "days_per_move": 3,
    }
    return farm(
        120,
        head=200,
        currency="CAD",
        price_year=2004,
        reference_edition="2026.1",
        winter={
            "first_day": "11-20",
            "rain_in": 0,
            "last_day": "03-19",
            "ground_days": {"frozen": 20, "snow_covered": 100},
        },
        herd={
            "cows": {
                "animal": "beef_cow",
                "head": 200,
                "body_weight_lb": 1350,
                "birth_starts": "04-15",
                "birth_season_days": 60,
            }
        },
        hay={"price_per_ton": 50, "dry_matter_fraction": 0.87, "bale_weight_lb": 1200},
        machines={
            "tractor": {"custom_rate_per_hour": 35},
            "loader": {"custom_rate_per_hour": 35},
            "spreader": {"custom_rate_per_hour": 60},
        },
        prices={"labor_per_hour": 12},
        finance={"real_rate": 0.05, "horizon_years": 10},
        systems={
            "pens": {
                "plan": [{"method": "feeding_pad", "structure": "pen", "presentation": "bunk"}],
                "structures": {"pen": pen},
            },
            "grazed": {"plan": [grazed]},
            "shredded": {
                "plan": [shredded],
                "structures": {"processor": {"kind": "equipment", "count": 1, "price": 15_000}},
            },
        },
        baseline="pens",
        assumptions={
            "structure.gravel_pad.resurface_unit_cost": 0,
            "hay_storage_loss.barn": 0,
            **{f"restoration.cost_per_acre.{word}": 0 for word in ("light", "moderate", "severe")},
        },
    )


def days(answer: Answer) -> float:
    """Return the days that the bales last [day]."""
    return sum(answer.quantity("grazed", "served_days", "bale_grazing").values())  # type: ignore[attr-defined]


def acres(answer: Answer) -> float:
    """Return the ground that the bales were set out on, as the engine's own warning has it."""
    warned = answer.system("grazed")["warnings"]
    tons = next(each["value"] for each in warned if each["warning"] == "bale_grazing_hay_per_acre")
    used = BALES - answer.quantity("grazed", "bales", "set_out_not_used")
    hay = answer.document["hay"]
    return used * hay["bale_weight_lb"] * hay["dry_matter_fraction"] / 2000 / tons


def physical() -> tuple[list[Line], Document]:
    """Return days, density and nutrients of the trial."""
    answer = costed(trial())
    lasted, ground = days(answer), acres(answer)
    density = COWS * lasted / ground
    hectares = ground / ACRE_PER_HECTARE

    # One dollar a lb of nitrogen and nothing else: the credit is the nitrogen that grass can use.
    nitrogen = -answer.line("grazed", "nutrient_credit") * KG_PER_LB / hectares
    potash = answer.quantity("grazed", "nutrients_kept_lb", "k2o") * KG_PER_LB / hectares

    pace = "five percent; the same sum as the trial's own, since the pace of bales is put in"
    return [
        Line(
            what="Days that the bales last",
            printed="110 days",
            engine=lasted,
            unit="days",
            low=110 * (1 - CLOSE),
            high=110 * (1 + CLOSE),
            allowed=pace,
            own_sum=True,
            document="trial",
        ),
        Line(
            what="Cow-days an acre, over 110 days",
            printed="680 cow-days/acre",
            engine=density,
            unit="cow-days/acre",
            low=680 * (1 - CLOSE),
            high=680 * (1 + CLOSE),
            allowed=pace,
            own_sum=True,
            document="trial",
        ),
        Line(
            what="Cow-days a hectare, over 130 days",
            printed="2,080 cow-days/ha",
            engine=130 / lasted * density * ACRE_PER_HECTARE,
            unit="cow-days/ha",
            low=2080 * (1 - CLOSE),
            high=2080 * (1 + CLOSE),
            allowed="five percent; at the same pace, bales for 22 days more",
            own_sum=True,
            document="trial",
        ),
        Line(
            what="Nitrogen that grass can use, against what the soil gained",
            printed="117 kg N/ha",
            engine=nitrogen,
            unit="kg N/ha",
            low=117 * 0.75,
            high=117 * 1.25,
            allowed="a quarter: the protein of hay and straw is not printed",
            why="Feed, protein and ground are near those of the trial; how much of it reaches the "
            "soil is from the tables.",
            document="trial",
        ),
        Line(
            what="Potassium kept on the ground, against what the soil gained",
            printed="1,209 kg K/ha",
            engine=potash * K_IN_K2O,
            unit="kg K/ha",
            low=1209 * 0.75,
            high=1209 * 1.25,
            allowed="a quarter, as for nitrogen",
            why=FEED,
            document="trial",
        ),
    ], answer.document


def money() -> tuple[list[Line], Document]:
    """Return what the two ways on grass save against pens."""
    answer = costed(farm_of_200())
    lines: list[Line] = []
    for system, name in WAYS.items():
        saved = answer.cost("pens") - answer.cost(system)
        lines.append(
            Line(
                what=f"Saving of {name} against pens",
                printed="a third",
                engine=100 * saved / answer.cost("pens"),
                unit="percent",
                low=25,
                high=40,
                allowed="25 to 40 %: 'a third' is rounded, and prices are not printed",
                why=NO_GRINDING,
                document="farm_of_200",
            )
        )
        lines.append(
            Line(
                what=f"Saving of {name}, a cow and day",
                printed="0.40 to 0.50 CAD",
                engine=saved / 200 / 120,
                unit="CAD/head/day",
                low=0.40,
                high=0.50,
                allowed="the printed range; the engine's prices are from memory",
                why=NO_GRINDING,
                document="farm_of_200",
            )
        )
    parts = {
        "hay": ("hay_eaten", "hay_wasted"),
        "work": ("labor",),
        "machines": ("machinery",),
        "manure": ("manure_handling",),
        "processor": ("structures", "structure_upkeep"),
    }
    for system, name in {"pens": "pens", **WAYS}.items():
        lines += [
            Line(
                what=f"{name}: {part}, a cow and day",
                printed="-",
                engine=answer.line(system, *names) / 200 / 120,
                unit="CAD/head/day",
                why="Not printed where seen; shown so that the saving can be judged.",
                document="farm_of_200",
            )
            for part, names in parts.items()
        ]
    return lines, answer.document


def case() -> Case:
    """Return days and density, nutrients, and the saving."""
    lines, trial_document = physical()
    more, money_document = money()
    return Case(
        key="V07",
        title="Bale grazing and shredding on grass against pens",
        source="Jungnitsch, P., and others, 2011: The effect of cattle winter feeding systems on "
        "soil nutrients, forage growth, animal performance, and economics, Agriculture, Ecosystems "
        "and Environment 141 (abstract seen, and that of the thesis, University of Saskatchewan, "
        "2008); bales, pace and saving from farm papers on talks by B. Lardner, Western Beef "
        "Development Centre (second-hand, seen).",
        claim="agrees_with_measurement",
        put_in=(
            PutIn("Cows, days", "32 cows on 5 acres, 130 days", "printed"),
            PutIn("Bales on 5 acres, half of them straw", "144", "printed"),
            PutIn("Spacing", "38.9 ft", "derived"),
            PutIn("Pace", "two bales last 16 cows three days", "printed"),
            PutIn("Weight of a bale at that pace", "781 lb DM", "derived"),
            PutIn("Cows' weight and intake", "1,350 lb, 27 lb DM a day", "assumed"),
            PutIn("Protein of hay and straw together", "7 %", "assumed"),
            PutIn("Worked example", "200 cows, 120 days", "printed"),
            PutIn("Waste, minutes, manure, what is kept of nutrients", "usual values", "tables"),
            PutIn("Feed, from memory of prices there about 2004", "50 CAD/ton", "assumed"),
            PutIn("Wage; tractor; spreader", "12; 35; 60 CAD/hour", "assumed"),
            PutIn("Processor, with as much work as rolling out", "15,000 CAD", "assumed"),
            PutIn("Pen", "a paid-for pad, cleaned and hauled out by the tables", "assumed"),
            PutIn("Loss in store, fence, land, value of nutrients", "0", "neutral"),
        ),
        lines=(*lines, *more),
        shows="Days and density follow from the printed pace of bales: sums, not evidence. "
        "Nitrogen in the soil was measured. The saving was worked by the authors from records of "
        "their own, whose prices were not seen: those here were set before the first run and not "
        "changed. What feeding did to the grass is case S02.",
        not_printed=(
            "weight of cows and bales",
            "intake",
            "prices",
            "hours of work and machines",
            "the table of costs",
        ),
        misprints=(TOP_OF_RANGE,),
        documents={"trial": trial_document, "farm_of_200": money_document},
    )
