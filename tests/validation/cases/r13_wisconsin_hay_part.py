"""University of Wisconsin-River Falls: what a cow on hay costs a day.

The passage was seen. Amounts of corn and mineral are not printed, so only the hay is worked.
"""

from service.trust.records import Case, Line, PutIn
from tests.validation.asking import costed
from tests.validation.figures import per_head_day
from tests.validation.neutral import Document, farm, intake
from tests.validation.plans import HAY

WEIGHT, SHARE, SHRINK = 1300, 0.022, 0.15
TOTAL = 1.43
MINERAL = 0.25 * 0.35
"""A quarter lb at 35 cents [USD/head/day]."""
CORN = 5 / 56 * 2.90
"""Five lb at 2.90 a bushel [USD/head/day]."""


def document() -> Document:
    """Return a cow on dry hay."""
    made = farm(
        120,
        head=1,
        price_year=2017,
        hay={"price_per_ton": 65, "dry_matter_fraction": 0.88},
        systems={"hay": {"plan": [HAY]}},
        baseline="hay",
        assumptions=intake(WEIGHT * SHARE, body_weight_lb=WEIGHT) | {"hay_waste.bunk": SHRINK},
    )
    made["herd"]["cows"]["body_weight_lb"] = WEIGHT
    return made


def case() -> Case:
    """Return the hay part of the printed day, and a line for what the engine has no term for."""
    answer = costed(document())
    return Case(
        key="R13",
        title="Hay for a cow a day, as part of a ration",
        source="University of Wisconsin-River Falls, 2017, on Ag Proud: Cut the cost of "
        "wintering cattle; the passage seen.",
        claim="reproduces_arithmetic",
        put_in=(
            PutIn("Cow", "1,300 lb that eats 2.2 % of her weight, dry", "printed"),
            PutIn("Hay", "65 USD a ton", "printed"),
            PutIn("Feeding losses", "15 %", "printed"),
            PutIn("Dry matter of hay", "88 %, usual for dry hay", "assumed"),
            PutIn(
                "Mineral and corn in the printed total",
                "a quarter lb at 0.35 USD; none to 5 lb at 2.90 a bushel (common practice, no "
                "source)",
                "assumed",
            ),
        ),
        lines=(
            Line(
                what="Hay a day",
                printed="1.43 with corn and mineral",
                engine=per_head_day(answer, "hay"),
                unit="USD/head/day",
                low=TOTAL - MINERAL - CORN,
                high=TOTAL - MINERAL,
                allowed="the printed total less mineral, and less none to 5 lb of corn",
                document="a_cow",
            ),
            Line(
                what="Feed for a lb of gain",
                printed="1.70",
                engine="no gain is worked",
                unit="USD/lb",
                why="1.43 a day over the printed 0.84 lb of gain a day. The engine holds a cow "
                "and does not fatten her: it has no gain to divide by.",
                document="a_cow",
            ),
        ),
        shows="That hay by weight, loss and price leaves room in the printed day for some corn "
        "and mineral, and no more than some.",
        not_printed=("corn a day", "mineral a day", "dry matter of hay", "labor", "yardage"),
        documents={"a_cow": answer.document},
    )
