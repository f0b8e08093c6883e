"""What must hold between the parts of a scenario."""

from service.costing.errors import Fault
from service.costing.scenario import Scenario


def faults_of(scenario: Scenario) -> list[Fault]:
    """Return every fault of a scenario that its single values do not show."""
    return []


def faults_unserved(runs: object) -> list[Fault]:
    """Return days that no step serves."""
    return []
