"""A herd size question put and answered in one line."""

from collections.abc import Iterable
from typing import Any

from service.analysis.herd_size import herd_size
from service.analysis.questions import Axis, HerdSize
from service.analysis.work import answered
from tests.analysis.hand_farm import asked_of

COWS = "herd.cows.head"
ACRES = "systems.grass.plan.stockpile_grazing.acres"


def ask(
    document: dict[str, Any],
    system: str = "grass",
    values: Iterable[float] = (30.0, 40.0, 50.0),
    acres: Iterable[float] | None = None,
    path: str = COWS,
    **more: Any,
) -> dict[str, Any]:
    """Return the answer for herds of some sizes."""
    question = HerdSize(
        system=system,
        head=Axis(input=path, values=tuple(map(float, values))),
        acres=None if acres is None else Axis(input=ACRES, values=tuple(map(float, acres))),
        **more,
    )
    return answered(herd_size(asked_of(document), question))


def margins(answer: dict[str, Any]) -> dict[Any, float | None]:
    """Return the margin of each point, by head or by head and acres."""
    with_acres = answer["acres"] is not None
    return {
        (point["head"], point["acres"]) if with_acres else point["head"]: point["farm_margin"]
        for point in answer["points"]
    }
