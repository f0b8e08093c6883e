"""What a place to keep weather records must offer."""

from collections.abc import Sequence
from typing import Protocol

from service.scenarios.records import (
    Classification,
    StoredWeatherRecord,
    WeatherRecord,
    WeatherWinter,
)


class WeatherRecords(Protocol):
    """Records of daily weather, the winters that were counted in them, and who uses them."""

    def add(self, record: StoredWeatherRecord) -> WeatherRecord:
        """Keep it, unless the office keeps the same days already; return what is kept."""
        ...

    def get(self, office_id: str, record_id: str) -> WeatherRecord | None: ...
    def days(self, record_id: str) -> bytes | None:
        """Return the days as they are kept."""
        ...

    def page(self, office_id: str, before_id: str | None, limit: int) -> Sequence[WeatherRecord]:
        """Return the records of an office, newest first."""
        ...

    def classify(
        self, classification: Classification, winters: Sequence[WeatherWinter]
    ) -> Classification:
        """Keep a classification as the newest of its record, unless it is kept; return it.

        One that is kept already becomes the newest again, as it was.
        """
        ...

    def classification(self, record_id: str, classifier: str) -> Classification | None: ...
    def classifications(self, record_id: str) -> Sequence[Classification]:
        """Return all of a record, oldest first."""
        ...

    def winters(self, record_id: str, classifier: str) -> Sequence[WeatherWinter]:
        """Return the winters of a classification in the order of their seasons."""
        ...

    def use(self, record_id: str, scenario_id: str) -> None:
        """Note that a scenario uses a record; once is enough."""
        ...

    def users(self, record_id: str, limit: int) -> Sequence[str]:
        """Return the ids of scenarios of which any revision uses a record, oldest first."""
        ...

    def delete(self, record_id: str) -> None:
        """Delete it with its winters.

        Raises
        ------
        RecordInUseError
            If a scenario uses it.
        """
        ...
