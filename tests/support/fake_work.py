"""Weather records and work that is done in parts, in memory."""

# ruff: noqa: D102 - the protocols say what each does

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from service.scenarios.clock import LATEST, Lapsed
from service.scenarios.errors import RecordInUseError, UnknownWeatherRecordError
from service.scenarios.records import (
    Classification,
    Job,
    JobState,
    JobSummary,
    Renewal,
    StoredWeatherRecord,
    WeatherRecord,
    WeatherWinter,
)
from tests.support.fake_tables import Part, by_id, dropped, must_stand, summary_of, well_formed

MOST_USERS_TOLD = 20
OPEN = {"queued", "running"}
NOT_HELD: dict[str, Any] = {"worker": None, "lease_until": None}


class FakeWeatherRecords(Part):
    """Records of daily weather, the winters that were counted in them, and who uses them."""

    def add(self, record: StoredWeatherRecord) -> WeatherRecord:
        tables = self._changing
        must_stand(record.office_id, tables.offices)
        same = (record.office_id, record.sha256)
        for kept in tables.weather_records.values():
            if (kept.office_id, kept.sha256) == same:
                return summary_of(WeatherRecord, kept)
        assert record.id not in tables.weather_records
        tables.weather_records[record.id] = well_formed(record)
        return summary_of(WeatherRecord, record)

    def get(self, office_id: str, record_id: str) -> WeatherRecord | None:
        record = self._tables.weather_records.get(record_id)
        if record is None or record.office_id != office_id:
            return None
        return summary_of(WeatherRecord, record)

    def days(self, record_id: str) -> bytes | None:
        record = self._tables.weather_records.get(record_id)
        return record and record.days

    def page(self, office_id: str, before_id: str | None, limit: int) -> Sequence[WeatherRecord]:
        own = [one for one in self._tables.weather_records.values() if one.office_id == office_id]
        return newest_first(WeatherRecord, own, before_id, limit)

    def classify(
        self, classification: Classification, winters: Sequence[WeatherWinter]
    ) -> Classification:
        tables = self._changing
        key = (classification.record_id, classification.classifier)
        if classification.record_id not in tables.weather_records:
            raise UnknownWeatherRecordError(classification.record_id)
        record = tables.weather_records[classification.record_id]
        tables.weather_records[record.id] = replace(record, classifier=classification.classifier)
        if key in tables.classifications:
            return tables.classifications[key]
        tables.classifications[key] = well_formed(classification)
        for winter in winters:
            assert (winter.record_id, winter.classifier) == key
            assert (*key, winter.season) not in tables.weather_winters
            tables.weather_winters[*key, winter.season] = winter
        return classification

    def classification(self, record_id: str, classifier: str) -> Classification | None:
        return self._tables.classifications.get((record_id, classifier))

    def classifications(self, record_id: str) -> Sequence[Classification]:
        return [one for one in self._tables.classifications.values() if one.record_id == record_id]

    def winters(self, record_id: str, classifier: str) -> Sequence[WeatherWinter]:
        found = [
            winter
            for key, winter in self._tables.weather_winters.items()
            if key[:2] == (record_id, classifier)
        ]
        return sorted(found, key=lambda winter: winter.season)

    def use(self, record_id: str, scenario_id: str) -> None:
        tables = self._changing
        if record_id not in tables.weather_records:
            raise UnknownWeatherRecordError(record_id)
        must_stand(scenario_id, tables.heads)
        tables.weather_uses[record_id, scenario_id] = None

    def users(self, record_id: str, limit: int) -> Sequence[str]:
        found = [scenario for record, scenario in self._tables.weather_uses if record == record_id]
        return sorted(found)[:limit]

    def delete(self, record_id: str) -> None:
        tables = self._changing
        if users := self.users(record_id, MOST_USERS_TOLD):
            raise RecordInUseError(users)
        tables.weather_records.pop(record_id, None)
        for table in (tables.classifications, tables.weather_winters):
            dropped(table, [key for key in table if key[0] == record_id])


class FakeJobs(Part):
    """Work that is done in parts, by whichever process comes to it."""

    def add(self, job: Job) -> None:
        tables = self._changing
        assert job.id not in tables.jobs
        must_stand(job.office_id, tables.offices)
        must_stand((job.scenario_id, job.revision), tables.revisions)
        tables.jobs[job.id] = lawful(job)

    def get(self, scenario_id: str, job_id: str) -> Job | None:
        job = self._tables.jobs.get(job_id)
        return job if isinstance(job, Job) and job.scenario_id == scenario_id else None

    def find(self, scenario_id: str, request_key: str) -> Job | None:
        found = [
            one
            for one in by_id(self._questions())
            if (one.scenario_id, one.request_key) == (scenario_id, request_key)
            and one.state in {*OPEN, "done"}
        ]
        return found[-1] if found else None

    def page(self, scenario_id: str, before_id: str | None, limit: int) -> Sequence[JobSummary]:
        own = [one for one in self._questions() if one.scenario_id == scenario_id]
        return newest_first(JobSummary, own, before_id, limit)

    def waiting(self, office_id: str) -> int:
        return sum(
            one.office_id == office_id and one.state in OPEN for one in self._tables.jobs.values()
        )

    def _questions(self) -> list[Job]:
        return [one for one in self._tables.jobs.values() if isinstance(one, Job)]

    def _free(self, now: datetime, lapsed: Lapsed | None) -> list[Any]:
        over = lapsed or Lapsed(now, LATEST)
        return [
            one
            for one in self._tables.jobs.values()
            if one.state == "queued"
            or (
                one.state == "running"
                and one.lease_until
                and not over.before < one.lease_until <= over.after
            )
        ]

    def open_by_state(self) -> Mapping[JobState, int]:
        return Counter(job.state for job in self._tables.jobs.values() if job.state in OPEN)

    def any_to_claim(self, now: datetime, lapsed: Lapsed | None = None) -> bool:
        return bool(self._free(now, lapsed))

    def claim(
        self, worker: str, now: datetime, lease_until: datetime, lapsed: Lapsed | None = None
    ) -> Any:
        free = self._free(now, lapsed)
        if not free:
            return None
        oldest = min(free, key=lambda one: (one.created_at, one.id))
        return self._changed(
            oldest,
            state="running",
            attempts=oldest.attempts + 1,
            worker=worker,
            lease_until=lease_until,
            started_at=oldest.started_at or now,
        )

    def renew(self, job_id: str, worker: str, lease_until: datetime, done: int) -> Renewal:
        job = self._held(job_id, worker)
        if job is None:
            return Renewal(held=False, cancelled=False)
        self._changed(job, lease_until=lease_until, done=max(job.done, done))
        return Renewal(held=True, cancelled=job.cancel_at is not None)

    def release(self, job_id: str, worker: str) -> None:
        job = self._held(job_id, worker)
        if job is not None:
            before = job.attempts - 1
            started = job.started_at if before else None
            self._changed(job, state="queued", attempts=before, started_at=started, **NOT_HELD)

    def add_part(self, job_id: str, number: int, result: bytes) -> None:
        tables = self._changing
        must_stand(job_id, tables.jobs)
        tables.job_parts.setdefault((job_id, number), result)

    def parts_done(self, job_id: str) -> set[int]:
        return {number for job, number in self._tables.job_parts if job == job_id}

    def parts(self, job_id: str) -> Iterator[bytes]:
        for number in sorted(self.parts_done(job_id)):
            yield self._tables.job_parts[job_id, number]

    def finish(self, job: Job, worker: str) -> bool:
        held = self._held(job.id, worker)
        if held is None:
            return False
        self._changed(
            held,
            state=job.state,
            done=max(held.done, job.done),
            finished_at=job.finished_at,
            result=job.result,
            problem=job.problem,
            **NOT_HELD,
        )
        self._drop_parts({job.id})
        return True

    def cancel(self, scenario_id: str, job_id: str, at: datetime) -> JobState | None:
        job = self.get(scenario_id, job_id)
        if job is None or job.state not in OPEN:
            return job and job.state
        asked = job.cancel_at or at
        if job.state == "running":
            return self._changed(job, cancel_at=asked).state
        self._drop_parts({job_id})
        return self._changed(job, state="cancelled", cancel_at=asked, finished_at=at).state

    def delete(self, scenario_id: str, job_id: str) -> bool:
        if self.get(scenario_id, job_id) is None:
            return False
        self._drop_parts({job_id})
        return dropped(self._changing.jobs, [job_id]) == 1

    def requeue(self) -> int:
        running = [one for one in self._changing.jobs.values() if one.state == "running"]
        for one in running:
            self._changed(one, state="queued", **NOT_HELD)
        return len(running)

    def prune(self, expired_before: datetime) -> int:
        jobs = self._changing.jobs
        old = [one.id for one in self._questions() if one.expires_at < expired_before]
        self._drop_parts(set(old))
        return dropped(jobs, old)

    def _held(self, job_id: str, worker: str) -> Any:
        job = self._changing.jobs.get(job_id)
        return job if job and (job.state, job.worker) == ("running", worker) else None

    def _changed(self, job: Any, **changes: Any) -> Any:
        changed = self._changing.jobs[job.id] = lawful(replace(job, **changes))
        return changed

    def _drop_parts(self, jobs: set[str]) -> None:
        parts = self._changing.job_parts
        dropped(parts, [key for key in parts if key[0] in jobs])


def newest_first(kind: Any, records: Iterable[Any], before_id: str | None, limit: int) -> list[Any]:
    """Return summaries of a page."""
    return [
        summary_of(kind, one)
        for one in reversed(by_id(records))
        if before_id is None or one.id < before_id
    ][:limit]


def lawful(job: Any) -> Any:
    """Return a job that a database would keep."""
    assert job.state in {*OPEN, "done", "failed", "cancelled"}
    assert 0 <= job.done <= job.total
    assert job.state != "running" or (job.worker is not None and job.lease_until is not None)
    return well_formed(job)
