"""What a question is asked of: a scenario that can be costed, and its document."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from service.costing.overrides import with_settings
from service.costing.scenario import Scenario

Document = dict[str, Any]


@dataclass(frozen=True)
class Subject:
    """A scenario with its document, settings applied and the winters of a record in their place."""

    document: Document
    scenario: Scenario
    read: Callable[[Document], Scenario]
    """Turn a document into a scenario or raise InputError with every fault."""
    autumn_rain_in: Mapping[str, float] = field(default_factory=dict[str, float])
    """Rain of the autumn before each season [in], where a weather record tells it."""

    def changed(self, settings: Mapping[str, Any]) -> "Subject":
        """Return the same with some inputs changed.

        Raises
        ------
        InputError
            If a path leads nowhere, or the changed document is no scenario.
        """
        document = with_settings(self.document, settings)
        return replace(self, document=document, scenario=self.read(document))
