"""University of Kentucky: stockpiled fescue on five farms, weighed when it was grazed."""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import Answer, costed
from tests.validation.neutral import Document, farm

WITH, WITHOUT = 3395, 2166
"""Dry matter with and without nitrogen [lb/acre]."""
NITROGEN = 46
AU_DAYS, MORE_DAYS = 79, 29
BAND = 0.15
CLOSED = ("08-15", "11-21")
DRY = (
    "The tables' usual is {usual}; the five farms of that autumn come to {farms}. That lies within "
    "the tables' low to high ({range})."
)
LESS_EATEN = (
    "The source counts 43 lb of grass a day for each 1,000 lb of cow: 26 lb eaten at 60 %, say. "
    "The tables let her eat 20 lb, and 62 % of the grass where the wire is moved every three days, "
    "so grass lasts longer here. Intake was not measured by either."
)


def document(**assumptions: float) -> Document:
    """Return an acre of stockpiled fescue, and cows of 1,000 lb that graze it first."""
    hay = {"method": "sacrifice_lot", "field": "field", "presentation": "bunk"}
    grass = {
        "method": "stockpile_grazing",
        "field": "field",
        "acres": 1,
        "closing_date": CLOSED[0],
        "dormancy_date": CLOSED[1],
        "nitrogen_lb_per_acre": NITROGEN,
        "days_per_move": 3,
    }
    return farm(
        120,
        head=25,
        reference_edition="2026.1",
        systems={"grass_first": {"plan": [grass, hay]}},
        machines={"tractor": {"custom_rate_per_hour": 0}},
        baseline="grass_first",
        # The grass was weighed when it was grazed: weathering lies behind it.
        assumptions={"stockpile.winter_loss": 0, **assumptions},
    )


def eaten(answer: Answer) -> float:
    """Return the grass eaten on the acre [lb DM]."""
    return 2000 * answer.quantity("grass_first", "stockpile_eaten_ton_dm")


def days_of(answer: Answer) -> float:
    """Return the days that 25 cows graze the acre [day]."""
    served = answer.costing["systems"][0]["quantities"]["served_days"]["stockpile_grazing"]
    return sum(served.values())


def case() -> Case:
    """Return what grows, and how long it lasts."""
    none = {"assumptions.stockpile.nitrogen_response": 0.0}
    all_eaten = document(**{f"stockpile.utilization.{moves}": 1.0 for moves in (1, 3, 7, 14)})
    as_weighed = document(
        **{
            # 98 days from closing to the end of growth.
            "stockpile.growth_lb_dm_per_acre_day": WITHOUT / 98,
            "stockpile.nitrogen_response": (WITH - WITHOUT) / NITROGEN,
        }
    )
    plain, both = costed(all_eaten, none), costed(all_eaten)
    without, with_n = costed(as_weighed, none), costed(as_weighed)
    au = 25 * days_of(with_n)
    lines = [
        Line(
            what="Grass without nitrogen",
            printed="2,166 lb DM/acre",
            engine=eaten(plain),
            unit="lb DM/acre",
            low=WITHOUT * (1 - BAND),
            high=WITHOUT * (1 + BAND),
            allowed="15 %: five farms, one autumn",
            why=DRY.format(
                usual="18 lb a day", farms="22 lb a day over 98 days", range="6 to 23 lb"
            ),
            document="tables",
            settings=dict(none),
        ),
        Line(
            what="Grass that 46 lb of nitrogen adds",
            printed="1,229 lb DM/acre",
            engine=eaten(both) - eaten(plain),
            unit="lb DM/acre",
            low=(WITH - WITHOUT) * (1 - BAND),
            high=(WITH - WITHOUT) * (1 + BAND),
            allowed="15 %: five farms, one autumn",
            why=DRY.format(
                usual="20 lb for each lb of nitrogen", farms="26.7 lb", range="11 to 27 lb"
            ),
            document="tables",
        ),
        Line(
            what="Days an acre, for 1,000 lb of cow",
            printed="79 AU-days/acre",
            engine=au,
            unit="AU-days/acre",
            low=AU_DAYS * (1 - BAND),
            high=AU_DAYS * (1 + BAND),
            allowed="15 %: intake and share eaten are not printed",
            why=LESS_EATEN,
            document="as_weighed",
        ),
        Line(
            what="Days an acre that nitrogen adds",
            printed="29 AU-days/acre",
            engine=au - 25 * days_of(without),
            unit="AU-days/acre",
            low=MORE_DAYS * (1 - BAND),
            high=MORE_DAYS * (1 + BAND),
            allowed="15 %: intake and share eaten are not printed",
            why=LESS_EATEN,
            document="as_weighed",
        ),
        Line(
            what="Days an acre lasts 25 cows of 1,200 lb",
            printed="approximately 3 days",
            engine=days_of(with_n) / 1.2,
            unit="days",
            low=2.5,
            high=3.5,
            allowed="what rounds to three",
            why="79 AU-days for 30 AU are 2.6 days; the rest is as above.",
            document="as_weighed",
        ),
    ]
    return Case(
        key="R03",
        title="Stockpiled fescue on five Kentucky farms",
        source="University of Kentucky, Master Grazer program: Stockpiled fescue demonstrations, "
        "results of 2014-15 (seen).",
        claim="agrees_with_measurement",
        put_in=(
            PutIn("Nitrogen, from 100 lb of urea", "46 lb/acre", "printed"),
            PutIn("Season", "clipped in August, grazed from November", "printed"),
            PutIn("Closed", "15 August; no growth after 21 November", "derived"),
            PutIn("Growth and response, in the first two lines", "usual values", "tables"),
            PutIn("Grass as weighed, in the others", "3,395 and 2,166 lb DM/acre", "printed"),
            PutIn("Intake; share eaten", "2.0 % of weight; 62 %", "tables"),
            PutIn("Wire moved", "every three days", "assumed"),
            PutIn("Weathering before grazing: weighed when grazed", "0", "derived"),
        ),
        lines=tuple(lines),
        shows="Grass was weighed on farms, days were worked from it by the authors' own allowance. "
        "The tables' usual grass is on the low side for a good autumn, and their cows eat less "
        "than that allowance.",
        not_printed=("intake and share eaten", "costs", "herds"),
        documents={"tables": both.document, "as_weighed": with_n.document},
    )
