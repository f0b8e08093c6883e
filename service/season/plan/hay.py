"""Hay: counted, weighed, bought, tested, and counted again while it is fed."""

from collections.abc import Iterator

from service.costing.units import DAYS_BEFORE_GRASS, NEGLIGIBLE, POUNDS_PER_TON
from service.costing.wording import amount, count
from service.season.figures import figure_of
from service.season.plan.anchors import by_closing, shut_grass, winter_begins, winter_ends
from service.season.plan.dated import ahead_of, at, task, with_rule
from service.season.plan.hay_plan import hay_plan
from service.season.plan.records import Amount, HayPlan, Task
from service.season.plan.wording import said_money, said_price
from service.season.subject import SeasonSubject

HAY_CAUTIONS = ("stack_fire", "listeria_and_botulism", "moldy_hay")


def hay_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield what hay asks for; nothing where the system feeds none."""
    late_summer = subject.result["quantities"]["late_summer_hay_ton"]
    if late_summer > NEGLIGIBLE:
        yield _late_summer(subject, late_summer)
    plan = hay_plan(subject)
    if plan is None:
        return
    yield _count(subject, plan)
    if plan.bales_to_buy_worst > 0:
        yield _buy(subject, plan)
    yield _test(subject)
    yield from _checks(subject)


def _late_summer(subject: SeasonSubject, tons: float) -> Task:
    closing = next(by_closing(shut_grass(subject)))[0].closing
    return task(
        "late_summer_hay",
        "Have hay at hand for late summer",
        at(closing, "With fields shut, the grass that is left can run short in a dry autumn."),
        "In years with rain none may be needed; in a dry one the herd eats hay before winter.",
        "Not estimated: it depends on the rain.",
        part="hay",
        how_much=(Amount(tons, "ton", "hay in late summer, mean of the winters"),),
    )


def _count(subject: SeasonSubject, plan: HayPlan) -> Task:
    weighed = figure_of("hay.bales_weighed").usual
    needed = f"A mean winter takes {count(plan.bales_needed)} bales of "
    return task(
        "count_hay",
        f"Count the bales and weigh {weighed:g}",
        ahead_of(
            winter_begins(subject),
            "lead.count_hay",
            "What is to be bought is only known once what is there has been counted.",
        ),
        f"{needed}{amount(subject.scenario.hay.bale_weight_lb)} lb, the worst "
        f"{count(plan.bales_needed_worst)}. Weigh {weighed:g} of each kind on a scale.",
        "Not estimated: hay is looked for a week later, and its price then is not known.",
        part="hay",
        how_much=(Amount(plan.bales_on_hand, "bale", "on hand, as given"),),
        cautions=HAY_CAUTIONS,
    )


def _buy(subject: SeasonSubject, plan: HayPlan) -> Task:
    currency = subject.scenario.currency
    own = subject.scenario.hay.home_grown_fraction >= 1
    order = "Make or buy" if own else "Buy"
    much = count(plan.bales_to_buy)
    if plan.bales_to_buy > 0:
        title = f"{order} {much} bales of hay"
        what = (
            f"At {said_price(plan.price_per_ton, currency)} a ton that is about "
            f"{said_money(plan.cost, currency)}. The worst of the winters takes "
            f"{count(plan.bales_to_buy_worst)}: know where the rest would come from."
        )
    else:
        title = f"Know where {count(plan.bales_to_buy_worst)} more bales would come from"
        what = "A mean winter is covered; the worst of the winters is not."
    return task(
        "buy_hay",
        title,
        ahead_of(
            winter_begins(subject),
            "lead.buy_hay",
            "The last cutting is in, and trucks still get to the stack.",
        ),
        f"{what} Look at it, and have it weighed.",
        "Not estimated: what hay costs a week later is not known, only that choice shrinks.",
        part="hay",
        how_much=(
            Amount(plan.bales_to_buy, "bale", "mean of the winters"),
            Amount(plan.bales_to_buy_worst, "bale", "worst winter"),
            Amount(plan.tons_to_buy, "ton", "mean of the winters"),
        ),
        cautions=("herbicide_carry_over", *HAY_CAUTIONS),
    )


def _test(subject: SeasonSubject) -> Task:
    cored = figure_of("hay.bales_cored").usual
    return task(
        "test_hay",
        "Take cores for a hay test",
        ahead_of(
            winter_begins(subject),
            "lead.test_hay",
            "The test shows the hay as it is fed, and feed can still be ordered after it.",
        ),
        f"Core {cored:g} bales of each cutting and field. Hay under a roof can be tested sooner.",
        "Not estimated: what the hay lacks is not known before the test.",
        part="hay",
        how_much=(Amount(cored, "bale", "to core of each lot"),),
    )


def _checks(subject: SeasonSubject) -> Iterator[Task]:
    bales = subject.result["quantities"]["bales"]
    weight = subject.scenario.hay.bale_weight_lb / POUNDS_PER_TON
    why = "If fewer are left there is still time to buy, to sell animals or to stretch the hay."
    late = "Not estimated: a week later there is a week less to act in."
    days = (
        ("count_half_way", subject.season.half_way, "left_half_way", "half of winter is over"),
        (
            "count_before_grass",
            subject.season.evening_with(DAYS_BEFORE_GRASS),
            "left_30_days_before_grass",
            f"{DAYS_BEFORE_GRASS} days of winter are left",
        ),
    )
    for key, day, name, rule in days:
        if day is None:
            continue
        left = bales[name]
        yield task(
            key,
            f"Count the bales: about {count(left)} should be left",
            with_rule(day, winter_ends(subject), f"the evening on which {rule}", why),
            "Count in the evening. Even use through the winter is assumed.",
            late,
            part="hay",
            when="on",
            how_much=(
                Amount(left, "bale", "should be left"),
                Amount(left * weight, "ton", "should be left"),
            ),
        )
