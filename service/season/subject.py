"""What the season asks of: a costed scenario, one of its systems, and one winter."""

from dataclasses import dataclass
from typing import Any

from service.costing.engine import Costing, SystemCosting
from service.costing.plan import System
from service.costing.scenario import Scenario
from service.season.dates import Season

Document = dict[str, Any]


@dataclass(frozen=True)
class SeasonSubject:
    """A costed scenario, the system that was chosen, and the winter it is for."""

    costing: Costing
    """By the engine, for what a document does not hold."""
    body: Document
    """The same as a document, as `service.costing.result.costing_document` makes it."""
    key: str
    """Of the chosen system."""
    season: Season

    @property
    def scenario(self) -> Scenario:
        """The question."""
        return self.costing.case.scenario

    @property
    def system(self) -> System:
        """The chosen system, as it was described."""
        return self.scenario.systems[self.key]

    @property
    def costed(self) -> SystemCosting:
        """The chosen system, as the engine costed it."""
        return self.costing.systems[self.key]

    @property
    def result(self) -> Document:
        """The chosen system's part of the document."""
        return next(item for item in self.body["systems"] if item["system"] == self.key)
