"""University of Alberta thesis of 2009: hay unrolled on snow against hay put through a processor.

Seen second-hand, in an article of 2023 that changed the hay price to that of its own year.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import LB_PER_KG, LB_PER_TON, PERCENT, per_head_day, within
from tests.validation.neutral import Document, farm, intake, winter
from tests.validation.plans import task

DAYS, HEAD = 175, 100
UNROLLED, PROCESSED = 0.129, 0.192
"""Hay wasted on snow [fraction]."""
MACHINES = 15_973.24
"""Tractor and processor for the winter [currency]."""
MINUTES = 10_000
"""The longest task that can be given; its rate makes the printed sum of it [minute]."""
REPLACED_DM_KG, REPLACED_AS_FED_KG = 2.55, 3.04
"""Hay that replaces the protein lost [kg/head/day]."""
HAY_PER_LB = 0.09
EATEN = 25.0


def document(eaten: float, dry_matter: float = 1) -> Document:
    """Return 100 cows that eat so much hay [lb DM/day], unrolled and through a processor."""
    unrolled = {"method": "unrolled_hay", "presentation": "unrolled_daily", "field": "field"}
    processed = {"method": "sacrifice_lot", "presentation": "no_feeder", "field": "field"}
    return farm(
        DAYS,
        head=HEAD,
        currency="CAD",
        price_year=2023,
        winter=winter(DAYS) | {"ground_days": {"snow_covered": DAYS}},
        hay={"price_per_ton": HAY_PER_LB * LB_PER_TON, "dry_matter_fraction": dry_matter},
        machines={"processor": {"custom_rate_per_hour": MACHINES / MINUTES * 60}},
        systems={"unroller": {"plan": [unrolled]}, "processor": {"plan": [processed]}},
        baseline="unroller",
        assumptions=intake(eaten)
        | {"hay_waste.unrolled_daily": UNROLLED, "hay_waste.no_feeder": PROCESSED}
        | task("sacrifice_lot.process", per="winter", machine_minutes=MINUTES, machine="processor"),
    )


def replacement() -> Document:
    """Return cows that eat nothing but the hay that replaces the protein, none of it wasted."""
    made = document(REPLACED_DM_KG * LB_PER_KG, REPLACED_DM_KG / REPLACED_AS_FED_KG)
    made["assumptions"] |= {"hay_waste.unrolled_daily": 0, "hay_waste.no_feeder": 0}
    return made


def case() -> Case:
    """Return machine, replacement hay and waste, line by line, and the sum that does not follow."""
    fed, extra = costed(document(EATEN)), costed(replacement())
    machine = per_head_day(fed, "processor", "machinery")
    replaced = per_head_day(extra, "unroller")
    ratio = fed.quantity("processor", "hay_needed_ton") / fed.quantity("unroller", "hay_needed_ton")
    as_fed = extra.quantity("unroller", "hay_needed_ton") * LB_PER_TON / HEAD / DAYS
    return Case(
        key="V04",
        title="Hay unrolled on snow against hay through a bale processor",
        source="University of Alberta, thesis, 2009, on waste of hay fed on snow; second-hand "
        "through a trade article of 2023 (its text seen), which names neither author nor title "
        "and put in the hay price of 2023. Alberta Agriculture's trial at Lacombe, 2004, as "
        "reported in The Western Producer, gives 12 and 19 % (seen).",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Winter", "175 days", "printed"),
            PutIn("Hay wasted", "12.9 % unrolled, 19.2 % processed", "printed"),
            PutIn("Tractor and processor", "15,973.24 a winter", "printed"),
            PutIn("Replacement hay", "2.55 kg DM, 3.04 kg as fed, a head and day", "printed"),
            PutIn("Hay", "0.09 a lb (of 2023)", "printed"),
            PutIn("Cows", "100: 91.27 a day against 0.91 a head", "derived"),
            PutIn("Hay eaten", f"{EATEN:g} lb DM a day; takes no part in the lines", "neutral"),
            PutIn("Currency", "Canadian dollars; the article does not say which", "assumed"),
        ),
        lines=(
            Line(
                what="Machine a day",
                printed="91.27",
                engine=machine * HEAD,
                unit="CAD/day",
                **within(91.27),
                allowed="1 %: rounding",
                document="fed",
            ),
            Line(
                what="Machine a head and day",
                printed="0.91",
                engine=machine,
                unit="CAD/head/day",
                **within(0.91),
                allowed="1 %: rounding",
                document="fed",
            ),
            Line(
                what="Replacement hay as fed",
                printed="6.69",
                engine=as_fed,
                unit="lb/head/day",
                **within(6.69),
                allowed="1 %: rounding of kilograms",
                document="replacement",
            ),
            Line(
                what="Replacement hay in money",
                printed="0.60",
                engine=replaced,
                unit="CAD/head/day",
                **within(0.60),
                allowed="1 %: rounding",
                document="replacement",
            ),
            Line(
                what="Hay put out with the processor for each lb put out unrolled",
                printed="12.9 % and 19.2 % wasted: 1.078",
                engine=ratio,
                unit="lb/lb",
                **within((1 - UNROLLED) / (1 - PROCESSED), 2 * PERCENT),
                allowed="2 %; waste added to what is eaten, not taken from what is offered, "
                "would give 1.056 and miss it",
                document="fed",
            ),
            Line(
                what="The processor's extra cost for the winter",
                printed="4.05",
                engine=replaced * DAYS,
                unit="CAD/head",
                **within(4.05),
                allowed="1 %: rounding",
                why="Replacement hay alone, at the printed 0.60 a head and day, comes to 105 in "
                "175 days, and the machine and the hay wasted are not in it. The 4.05 does not "
                "follow; hay price and total may be of different years.",
                document="replacement",
            ),
        ),
        shows="How waste becomes hay put out, and machine cost a head and day. The waste itself "
        "is put in, so the case does not show that it is right for a farm: in a Kansas State "
        "University trial (abstract seen) the order was the other way: 22 to 23 % unrolled, 13 to "
        "16 % processed onto the ground.",
        not_printed=(
            "head",
            "hay eaten",
            "labor",
            "hours of the machines",
            "machine cost of the unroller",
        ),
        misprints=("4.05 a head for 175 days cannot stand beside 0.60 a head and day.",),
        documents={"fed": fed.document, "replacement": extra.document},
    )
