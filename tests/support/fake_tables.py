"""What the store in memory keeps, and the forms that a database would demand of it."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime
from typing import Any, Protocol

from service.scenarios.errors import UnknownScenarioError
from service.scenarios.records import (
    AuditEntry,
    Classification,
    Credential,
    Head,
    Note,
    Office,
    PastWinter,
    Replay,
    Revision,
    StoredCosting,
    StoredWeatherRecord,
    WeatherWinter,
)
from service.scenarios.sweep_records import KeptChunk, SweepChunk

LONGEST_ID = 32


@dataclass
class Tables:
    """All that is kept."""

    offices: dict[str, Office] = field(default_factory=dict)
    credentials: dict[str, Credential] = field(default_factory=dict)
    heads: dict[str, Head] = field(default_factory=dict)
    revisions: dict[tuple[str, int], Revision] = field(default_factory=dict)
    costings: dict[str, StoredCosting] = field(default_factory=dict)
    notes: dict[str, Note] = field(default_factory=dict)
    past_winters: dict[tuple[str, str], PastWinter] = field(default_factory=dict)
    weather_records: dict[str, StoredWeatherRecord] = field(default_factory=dict)
    classifications: dict[tuple[str, str], Classification] = field(default_factory=dict)
    """In the order in which they were made."""
    weather_winters: dict[tuple[str, str, str], WeatherWinter] = field(default_factory=dict)
    weather_uses: dict[tuple[str, str], None] = field(default_factory=dict)
    jobs: dict[str, Any] = field(default_factory=dict)
    """Questions and sweeps."""
    job_parts: dict[tuple[str, int], bytes] = field(default_factory=dict)
    sweep_chunks: dict[tuple[str, int], SweepChunk] = field(default_factory=dict)
    sweep_results: dict[tuple[str, int], KeptChunk] = field(default_factory=dict)
    audit: dict[int, AuditEntry] = field(default_factory=dict)
    replays: dict[tuple[str, str], Replay] = field(default_factory=dict)
    erasures: dict[tuple[str, str], datetime] = field(default_factory=dict)
    audit_number: int = 0

    def copied(self) -> "Tables":
        """Return a copy whose rows can be changed; a row itself never changes."""
        rows = {name: table.copy() for name, table in vars(self).items() if isinstance(table, dict)}
        return replace(self, **rows)


class Place(Protocol):
    """What a session looks at and, if it may, changes."""

    @property
    def tables(self) -> Tables: ...
    @property
    def changing(self) -> Tables: ...


@dataclass(frozen=True)
class Part:
    """A repository."""

    place: Place

    @property
    def _tables(self) -> Tables:
        return self.place.tables

    @property
    def _changing(self) -> Tables:
        return self.place.changing


def well_formed(record: Any) -> Any:
    """Return a record whose ids are short enough and whose times are in UTC and whole [ms]."""
    for each in fields(record):
        value = getattr(record, each.name)
        if isinstance(value, datetime):
            assert value.tzinfo is UTC, (each.name, value)
            assert value.microsecond % 1000 == 0, (each.name, value)
        if each.name == "id" or (each.name.endswith("_id") and each.name != "external_id"):
            assert value is None or len(value) <= LONGEST_ID, (each.name, value)
    return record


def must_stand(key: Any, table: Container[Any]) -> None:
    """Refuse what would hang on something that is not there, as after an erasure."""
    if key is not None and key not in table:
        raise UnknownScenarioError(key)


def summary_of(kind: Any, record: Any) -> Any:
    """Return a record without what its summary leaves out."""
    return kind(**{each.name: getattr(record, each.name) for each in fields(kind)})


def by_id(records: Iterable[Any]) -> list[Any]:
    """Return records in the order of their ids."""
    return sorted(records, key=lambda record: record.id)


def dropped(table: dict[Any, Any], keys: Sequence[Any]) -> int:
    """Delete rows and return how many."""
    for key in keys:
        del table[key]
    return len(keys)


def dropped_sweeps(tables: Any, ids: Sequence[str]) -> int:
    """Delete sweeps with their chunks."""
    for table in (tables.sweep_chunks, tables.sweep_results):
        dropped(table, [key for key in table if key[0] in ids])
    return dropped(tables.jobs, ids)
