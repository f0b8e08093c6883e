"""Questions about inputs: sensitivity over all of them, and a break-even, on the demo farm."""

from service.analysis.break_even import break_even
from service.analysis.questions import BreakEven, Sensitivity
from service.analysis.ranges import ranges_of
from service.analysis.sensitivity import sensitivity
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.benchmarks.measure import MILLISECONDS, Measure, least

ROUNDS = 7


def input_measures() -> list[Measure]:
    """Return what sensitivity and break-even take."""
    document = demo_document()
    subject = Subject(document, scenario_of(document), scenario_of)
    inputs = len(ranges_of(subject))
    price = BreakEven(
        input="hay.price_per_ton", low=40, high=400, systems=("lot_better_feeders", "grass_first")
    )
    dips = BreakEven(
        input="herd.cows.head", low=5, high=200, systems=("by_the_ground", "lot_open_rings")
    )
    coarse = BreakEven(input="winter.rain_in", low=0, high=60, systems=("rock_pad", "roofed_pad"))
    answered(break_even(subject, price))  # imports scipy

    def seconds(question: BreakEven) -> float:
        return least(lambda: answered(break_even(subject, question)), ROUNDS) / MILLISECONDS

    return [
        Measure(
            f"sensitivity over all {inputs} inputs of the demo",
            least(lambda: answered(sensitivity(subject, Sensitivity())), ROUNDS) / MILLISECONDS,
            "s",
            1.5,
        ),
        Measure("break-even hay price of two systems", seconds(price), "s", 0.3),
        Measure("break-even head, where the cost bends", seconds(dips), "s", 0.3),
        Measure("break-even rain, a run for each of 33 values", seconds(coarse), "s"),
    ]
