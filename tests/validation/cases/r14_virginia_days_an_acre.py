"""Virginia Tech: days that an acre of stockpiled fescue feeds a cow."""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.neutral import Document, farm, intake

GROWN, ADDED, NITROGEN = 2500, 554, 50
DAYS = 122


def document() -> Document:
    """Return an acre with 50 lb of nitrogen, and one cow that eats 25 lb of it a day."""
    hay = {"method": "sacrifice_lot", "presentation": "bunk", "field": "field"}
    grass = {
        "method": "stockpile_grazing",
        "field": "field",
        "acres": 1,
        "closing_date": "08-01",
        "dormancy_date": "11-09",
        "nitrogen_lb_per_acre": NITROGEN,
        "days_per_move": 1,
    }
    return farm(
        180,
        head=1,
        systems={"grass_first": {"plan": [grass, hay]}},
        baseline="grass_first",
        assumptions=intake(25)
        | {
            # 100 days from closing to the end of growth.
            "stockpile.growth_lb_dm_per_acre_day": GROWN / 100,
            "stockpile.nitrogen_response": ADDED / NITROGEN,
        },
    )


def case() -> Case:
    """Return the days of one cow on one acre."""
    answer = costed(document())
    days = answer.costing["systems"][0]["quantities"]["served_days"]["stockpile_grazing"]["firm"]
    line = Line(
        what="Days that an acre feeds a cow of 1,000 lb",
        printed="122 days",
        engine=days,
        unit="days",
        low=DAYS - 0.5,
        high=DAYS + 0.5,
        allowed="half a day: printed in whole days",
        document="an_acre",
    )
    return Case(
        key="R14",
        title="Days that an acre of stockpiled fescue feeds a cow",
        source="Virginia Tech (Virginia Cooperative Extension), 2013: Stockpiling forages cheaper "
        "than feeding hay, in Southeast Farm Press (seen).",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Grass without nitrogen", "2,500 lb DM/acre", "printed"),
            PutIn("Grass from 50 lb of nitrogen as ammonium sulfate", "554 lb DM/acre", "printed"),
            PutIn("Intake", "25 lb DM a day", "printed"),
            PutIn("All of the grass is eaten", "100 %", "printed"),
        ),
        lines=(line,),
        shows="Grass over intake: one division. The source says that it leaves out what is not "
        "eaten; with 60 to 70 % eaten an acre feeds a cow for 75 to 85 days.",
        not_printed=("herd", "costs of grazing"),
        documents={"an_acre": answer.document},
    )
