"""What a place to keep winters as they were must offer."""

from collections.abc import Sequence
from typing import Protocol

from service.scenarios.records import PastWinter


class PastWinters(Protocol):
    """Winters as they were, by scenario and season."""

    def get(self, scenario_id: str, season: str) -> PastWinter | None: ...
    def every(self, scenario_id: str) -> Sequence[PastWinter]:
        """Return all of a scenario, the oldest season first."""
        ...

    def count(self, scenario_id: str) -> int:
        """Return how many a scenario has; in a writing session it holds until the end of that."""
        ...

    def add(self, winter: PastWinter) -> bool:
        """Keep a season that is not kept yet; False if it is by now."""
        ...

    def change(self, winter: PastWinter) -> bool:
        """Put a version in the place of the one before it, in one statement that checks that.

        ``created_at`` stays. False if the version before it does not stand any more.
        """
        ...
