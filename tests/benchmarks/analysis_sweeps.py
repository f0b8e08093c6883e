"""Herd sizes and winters by type, on the demo farm."""

from service.analysis.herd_size import herd_size
from service.analysis.questions import Axis, HerdSize, WinterTypes
from service.analysis.subject import Subject
from service.analysis.winter_types import winter_types
from service.analysis.work import answered
from service.costing.engine import cost
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.benchmarks.measure import Measure, least

ROUNDS = 10
SYSTEM = "grass_first"


def sweep_measures() -> list[Measure]:
    """Four hundred herd sizes in one run, one herd size, and the types of twelve winters."""
    document = demo_document()
    subject = Subject(document, scenario_of(document), scenario_of)
    cost(subject.scenario)

    def asked(count: int) -> HerdSize:
        step = f"systems.{SYSTEM}.plan.bench_grass.acres"
        return HerdSize(
            system=SYSTEM,
            head=Axis(input="herd.cows.head", values=tuple(range(40, 40 + count))),
            acres=Axis(input=step, values=tuple(range(5, 5 + count))),
            return_per_head=1860.0,
            other_costs_per_head=720.0,
        )

    def sizes(count: int) -> float:
        return least(lambda: answered(herd_size(subject, asked(count))), ROUNDS)

    return [
        Measure("herd size: 20 herds x 20 acres", sizes(20), "ms"),
        Measure("herd size: one point", sizes(1), "ms"),
        Measure(
            "winters by type",
            least(lambda: answered(winter_types(subject, WinterTypes())), ROUNDS),
            "ms",
        ),
    ]
