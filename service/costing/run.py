"""What is known of one system while it is being costed."""

from dataclasses import dataclass, field

from service.costing.case import Case
from service.costing.figure import Figure
from service.costing.grass import Stockpile
from service.costing.herd import Feed, Herd
from service.costing.methods import Step
from service.costing.places import Place
from service.costing.plan import System
from service.costing.sizes import Size
from service.costing.winter_rows import WinterRows


@dataclass(slots=True)
class StepRun:
    """One step of a plan with its figures, filled in as they are worked."""

    key: str
    path: str
    step: Step
    groups: list[str]
    states: list[str]
    places: list[Place]
    member: Figure
    feed: Feed
    share: Figure
    need: Figure
    eaten_factor: Figure
    waste: Figure | None
    served: Figure
    days_run: Figure
    switches: Figure | None
    eaten: Figure
    eaten_in_all: Figure
    grass: Stockpile | None = None
    offered_by_state: Figure | None = None
    offered: Figure | None = None
    wasted: Figure | None = None
    bales: Figure | None = None
    bales_left: Figure | None = None
    acres_covered: Figure | None = None


@dataclass(slots=True)
class SystemRun:
    """One system of a case with its steps, sizes and charges."""

    case: Case
    herd: Herd
    winters: WinterRows
    key: str
    system: System
    head: Figure
    sizes: dict[str, Size]
    left: Figure
    steps: list[StepRun] = field(default_factory=list)
