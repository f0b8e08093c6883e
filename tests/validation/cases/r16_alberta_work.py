"""Columns by an Alberta grazier: work of daily feeding with a processor, and of bale grazing.

Both columns were seen as far as these figures.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import per_head_day, within
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY, task

DAYS = 140
FED, GRAZED = 200, 366
HEIFER_DAY = 2 * 60 / 7 / GRAZED
"""Two hours a week for 366 heifers [minute/head/day]."""


def document() -> Document:
    """Return heifers fed daily and heifers on bales, the same herd in both systems."""
    bales = {
        "method": "bale_grazing",
        "presentation": "bales_in_place",
        "field": "field",
        "bales_set_out": 5000,
        "spacing_ft": 38,
        "days_per_move": 3.5,
    }
    return farm(
        DAYS,
        head=FED,
        currency="CAD",
        price_year=2010,
        machines={"processor": {"custom_rate_per_hour": 75, "includes_operator": True}},
        systems={"processor": {"plan": [HAY]}, "bale_grazing": {"plan": [bales]}},
        baseline="processor",
        assumptions=intake(25)
        | task(
            "sacrifice_lot.feed",
            per="day",
            person_minutes=120,
            machine_minutes=120,
            machine="processor",
        )
        | task("bale_grazing.move_wire", per="move", person_minutes=60),
    )


def case() -> Case:
    """Return machine and driver a head and day, and people's time on bale grazing."""
    daily = costed(document())
    herd: dict[str, float | str] = {"herd.cows.head": GRAZED}
    bales = costed(document(), herd)
    hours = bales.quantity("bale_grazing", "labor_hours")
    return Case(
        key="R16",
        title="Work of feeding daily with a processor, and of grazing bales",
        source="Kenyon, S., in Canadian Cattlemen: The economics of bale grazing, and "
        "Bale-grazing basics (undated); both seen as far as these figures.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Daily feeding", "200 head, 2 hours a day", "printed"),
            PutIn("Tractor and processor", "75 CAD an hour with driver", "printed"),
            PutIn("Bale grazing", "366 heifers, 2 hours a week", "printed"),
            PutIn("Moves", "two a week of an hour each", "derived"),
            PutIn("Winter", "140 days", "neutral"),
            PutIn("Hay, bales set out before winter", "0", "neutral"),
        ),
        lines=(
            Line(
                what="Daily feeding: machine and driver",
                printed="0.75",
                engine=per_head_day(daily, "processor"),
                unit="CAD/head/day",
                **within(0.75),
                allowed="1 %: rounding",
                document="herd",
            ),
            Line(
                what="Bale grazing: people's time in winter",
                printed="2 hours a week: 0.047",
                engine=hours * 60 / GRAZED / DAYS,
                unit="minute/head/day",
                **within(HEIFER_DAY),
                allowed="1 %: rounding",
                document="herd",
                settings=herd,
            ),
        ),
        shows="Work by day and by move, a driver that the machine's rate pays, and time a head. "
        "The minutes are put in: it shows nothing of how long the work takes elsewhere. Setting "
        "out bales in autumn is not in it.",
        not_printed=("hay and its price", "weight", "time to set out bales", "machine of autumn"),
        misprints=(
            "A report in Feedlot Magazine has an hour a week for this herd; the column has two.",
        ),
        documents={"herd": daily.document},
    )
