"""Sweeps and their chunks, in memory."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from service.scenarios.records import JobState, Renewal
from service.scenarios.sweep_records import KeptChunk, Sweep, SweepChunk
from tests.support.fake_tables import Part, by_id, dropped_sweeps, must_stand
from tests.support.fake_work import NOT_HELD, OPEN, lawful


class FakeSweeps(Part):
    """Sweeps and their chunks; they stand in one table with the questions."""

    def add(
        self, sweep: Sweep, chunks: Iterable[SweepChunk], done: Iterable[KeptChunk] = ()
    ) -> None:
        tables = self._changing
        assert sweep.id not in tables.jobs
        must_stand(sweep.office_id, tables.offices)
        assert (sweep.scenario_id is None) == (sweep.revision is None)
        if sweep.scenario_id is not None:
            must_stand((sweep.scenario_id, sweep.revision), tables.revisions)
        tables.jobs[sweep.id] = lawful(sweep)
        for chunk in chunks:
            assert (sweep.id, chunk.number) not in tables.sweep_chunks
            assert chunk.job_id == sweep.id
            tables.sweep_chunks[sweep.id, chunk.number] = chunk
        for chunk in done:
            self._put(sweep.id, chunk)

    def get(self, office_id: str, sweep_id: str) -> Sweep | None:
        sweep = self._tables.jobs.get(sweep_id)
        return sweep if isinstance(sweep, Sweep) and sweep.office_id == office_id else None

    def page(self, office_id: str, before_id: str | None, limit: int) -> Sequence[Sweep]:
        return [
            one
            for one in reversed(by_id(self._sweeps()))
            if one.office_id == office_id and (before_id is None or one.id < before_id)
        ][:limit]

    def open_chunks(self, sweep_id: str) -> Sequence[SweepChunk]:
        results = self._tables.sweep_results
        return [
            replace(chunk, inputs=None)
            for key, chunk in sorted(self._tables.sweep_chunks.items())
            if key[0] == sweep_id and key not in results
        ]

    def inputs(self, sweep_id: str, number: int) -> bytes | None:
        chunk = self._tables.sweep_chunks.get((sweep_id, number))
        return chunk and chunk.inputs

    def begin(self, sweep_id: str, worker: str, number: int) -> None:
        self._tried(sweep_id, worker, number, 1)

    def leave(self, sweep_id: str, worker: str, number: int) -> None:
        self._tried(sweep_id, worker, number, -1)

    def _tried(self, sweep_id: str, worker: str, number: int, more: int) -> None:
        tables, key = self._changing, (sweep_id, number)
        if self._held(sweep_id, worker) and key not in tables.sweep_results:
            chunk = tables.sweep_chunks[key]
            tables.sweep_chunks[key] = replace(chunk, attempts=chunk.attempts + more)

    def keep(self, sweep_id: str, worker: str, lease_until: datetime, chunk: KeptChunk) -> Renewal:
        sweep = self._held(sweep_id, worker)
        if sweep is None:
            return Renewal(held=False, cancelled=False)
        changes: dict[str, Any] = {"lease_until": lease_until}
        if self._put(sweep_id, chunk):
            changes |= {
                "done": sweep.done + 1,
                "result_rows": sweep.result_rows + chunk.result_rows,
                "failed_rows": sweep.failed_rows + chunk.failed_rows,
                "attempts": 1,
            }
        self._changing.jobs[sweep_id] = lawful(replace(sweep, **changes))
        return Renewal(held=True, cancelled=sweep.cancel_at is not None)

    def _put(self, sweep_id: str, chunk: KeptChunk) -> bool:
        tables, key = self._changing, (sweep_id, chunk.number)
        if key not in tables.sweep_chunks or key in tables.sweep_results:
            return False
        tables.sweep_chunks[key] = replace(tables.sweep_chunks[key], inputs=None)
        tables.sweep_results[key] = chunk
        return True

    def next_result(self, sweep_id: str, after: int) -> tuple[int, bytes] | None:
        for chunk in self._done(sweep_id, after):
            return chunk.number, chunk.result
        return None

    def next_problems(self, sweep_id: str, after: int, after_row: int) -> tuple[int, bytes] | None:
        for chunk in self._done(sweep_id, after):
            asked = self._tables.sweep_chunks[sweep_id, chunk.number]
            last_row = asked.first_row + asked.row_count - 1
            if chunk.problems is not None and last_row > after_row:
                return chunk.number, chunk.problems
        return None

    def finish(self, sweep: Sweep, worker: str) -> bool:
        held = self._held(sweep.id, worker)
        if held is None:
            return False
        ended = {
            "state": sweep.state,
            "finished_at": sweep.finished_at,
            "problem": sweep.problem,
        }
        self._changing.jobs[sweep.id] = lawful(replace(held, **ended, **NOT_HELD))
        return True

    def cancel(self, office_id: str, sweep_id: str, at: datetime) -> JobState | None:
        sweep = self.get(office_id, sweep_id)
        if sweep is None or sweep.state not in OPEN:
            return sweep and sweep.state
        changes: dict[str, Any] = {"cancel_at": sweep.cancel_at or at}
        if sweep.state == "queued":
            changes |= {"state": "cancelled", "finished_at": at}
        changed = self._changing.jobs[sweep_id] = lawful(replace(sweep, **changes))
        return changed.state

    def delete(self, office_id: str, sweep_id: str) -> bool:
        if self.get(office_id, sweep_id) is None:
            return False
        return dropped_sweeps(self._changing, [sweep_id]) == 1

    def prune(self, expired_before: datetime) -> int:
        old = [one.id for one in self._sweeps() if one.expires_at < expired_before]
        return dropped_sweeps(self._changing, old)

    def _sweeps(self) -> list[Sweep]:
        return [one for one in self._tables.jobs.values() if isinstance(one, Sweep)]

    def _done(self, sweep_id: str, after: int) -> list[KeptChunk]:
        return [
            chunk
            for (job, number), chunk in sorted(self._tables.sweep_results.items())
            if job == sweep_id and number > after
        ]

    def _held(self, sweep_id: str, worker: str) -> Sweep | None:
        sweep = self._changing.jobs.get(sweep_id)
        held = sweep and (sweep.state, sweep.worker) == ("running", worker)
        return sweep if held else None
