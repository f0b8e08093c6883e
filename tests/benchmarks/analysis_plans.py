"""The search for plans, on the demo farm: plans a second of one core."""

import time

from service.analysis.plans import plans_within_limits
from service.analysis.questions import PlanLimits, PlansWithinLimits
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.benchmarks.measure import MILLISECONDS, Measure

PLANS = 2_000
ROUNDS = 3
LEAST_A_SECOND = 300
MOST_TO_PREPARE = 250


def plans_measures() -> list[Measure]:
    """Plans a second, evenly picked of all that can be made, and the time before the first."""
    document = demo_document()
    subject = Subject(document, scenario_of(document), scenario_of)
    question = PlansWithinLimits(
        start_from="by_the_ground",
        limits=PlanLimits(money_up_front=45_000, minutes_weekday=80, acres_damaged=4),
        most_plans=PLANS,
    )
    best, prepared = 0.0, float("inf")
    for _ in range(ROUNDS):
        start = time.process_time()
        work = plans_within_limits(subject, question)
        _ = work.total
        prepared = min(prepared, time.process_time() - start)
        searched = answered(work)["searched"]
        best = max(best, searched / (time.process_time() - start))
    return [
        Measure("plans within limits, demo farm", best, "plans/s", least=LEAST_A_SECOND),
        Measure("  of it: counting all plans", prepared * MILLISECONDS, "ms", most=MOST_TO_PREPARE),
    ]
