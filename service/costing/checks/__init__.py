"""What must hold between the parts of a scenario: every fault at once, in plain words."""

from service.costing.checks.assumptions import assumption_faults
from service.costing.checks.farm import farm_faults
from service.costing.checks.machines import machine_faults, machines_lacking
from service.costing.checks.plan import plan_faults
from service.costing.checks.question import Question
from service.costing.checks.structures import structure_faults
from service.costing.checks.systems import (
    crowding_faults,
    edition_faults,
    emptiness_faults,
    system_faults,
)
from service.costing.checks.terms import cost_share_faults, tenure_faults
from service.costing.checks.unserved import faults_unserved
from service.costing.checks.winter import rain_faults, winter_faults
from service.costing.errors import Fault
from service.costing.scenario import Scenario

__all__ = ["faults_of", "faults_unserved"]

CHECKS = (
    edition_faults,
    emptiness_faults,
    winter_faults,
    farm_faults,
    machine_faults,
    system_faults,
    plan_faults,
    structure_faults,
    cost_share_faults,
    tenure_faults,
    rain_faults,
    machines_lacking,
    assumption_faults,
)


def faults_of(scenario: Scenario) -> list[Fault]:
    """Return every fault of a scenario that its single values do not show.

    Of a scenario that has too much of something only that is said: the rest would take too long.
    """
    question = Question(scenario)
    if crowded := list(crowding_faults(question)):
        return crowded
    return [fault for check in CHECKS for fault in check(question)]
