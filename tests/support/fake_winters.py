"""Winters as they were, in memory."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Sequence
from dataclasses import replace

from service.scenarios.records import PastWinter
from tests.support.fake_tables import Part, must_stand, well_formed


class FakePastWinters(Part):
    """Winters as they were, by scenario and season."""

    def get(self, scenario_id: str, season: str) -> PastWinter | None:
        return self._tables.past_winters.get((scenario_id, season))

    def every(self, scenario_id: str) -> Sequence[PastWinter]:
        own = [one for one in self._tables.past_winters.values() if one.scenario_id == scenario_id]
        return sorted(own, key=lambda one: one.season)

    def count(self, scenario_id: str) -> int:
        return len(self.every(scenario_id))

    def add(self, winter: PastWinter) -> bool:
        tables = self._changing
        key = (winter.scenario_id, winter.season)
        if key in tables.past_winters:
            return False
        must_stand(winter.scenario_id, tables.heads)
        tables.past_winters[key] = well_formed(winter)
        return True

    def change(self, winter: PastWinter) -> bool:
        tables = self._changing
        key = (winter.scenario_id, winter.season)
        before = tables.past_winters.get(key)
        if before is None or before.version != winter.version - 1:
            return False
        tables.past_winters[key] = replace(well_formed(winter), created_at=before.created_at)
        return True
