"""The tables of work that is done in parts. Columns are called as the fields of the records."""

from typing import get_args

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    Table,
    Text,
    literal_column,
)

from service.scenarios.records import JobState
from service.store.columns import Id, UtcMs, one_of
from service.store.tables import METADATA, partial_index

JOBS = Table(
    "jobs",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("office_id", Id, ForeignKey("offices.id"), nullable=False),
    Column("scenario_id", Id),
    Column("revision", Integer),
    Column("question", Text, nullable=False),
    Column("request", Text, nullable=False),
    Column("request_key", Text, nullable=False),
    Column("engine_version", Text, nullable=False),
    Column("reference_edition", Text, nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("state", Text, nullable=False),
    Column("done", Integer, nullable=False),
    Column("total", Integer, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("worker", Text),
    Column("lease_until", UtcMs),
    Column("cancel_at", UtcMs),
    Column("created_by", Id, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    Column("started_at", UtcMs),
    Column("finished_at", UtcMs),
    Column("expires_at", UtcMs, nullable=False),
    Column("result", LargeBinary),
    Column("problem", Text),
    Column("kind", Text, nullable=False, server_default="analysis"),
    Column("result_rows", Integer, nullable=False, server_default="0"),
    Column("failed_rows", Integer, nullable=False, server_default="0"),
    ForeignKeyConstraint(
        ["scenario_id", "revision"],
        ["revisions.scenario_id", "revisions.number"],
        ondelete="CASCADE",
    ),
    one_of("state", get_args(JobState)),
    CheckConstraint("0 <= done AND done <= total", name="done"),
    # Running without a lease that can run out, it would never be taken up again.
    CheckConstraint(
        "state <> 'running' OR (worker IS NOT NULL AND lease_until IS NOT NULL)", name="lease"
    ),
    one_of("kind", ("analysis", "sweep")),
    # A sweep may have come with its own document.
    CheckConstraint("kind = 'sweep' OR scenario_id IS NOT NULL", name="scenario"),
    CheckConstraint("(scenario_id IS NULL) = (revision IS NULL)", name="revision"),
    Index("ix_jobs_page", "scenario_id", "id"),
    Index("ix_jobs_request", "scenario_id", "request_key", "id"),
    Index("ix_jobs_expires_at", "expires_at"),
)

OPEN = JOBS.c.state.in_([literal_column("'queued'"), literal_column("'running'")])
"""Not ended. Written out, for SQLite searches a partial index only where it reads its condition."""

partial_index("ix_jobs_open", JOBS.c.created_at, JOBS.c.id, where=OPEN)
partial_index("ix_jobs_waiting", JOBS.c.office_id, where=OPEN)

IS_SWEEP = JOBS.c.kind == literal_column("'sweep'")
"""Written out too."""

partial_index("ix_jobs_sweeps", JOBS.c.office_id, JOBS.c.id, where=IS_SWEEP)

JOB_PARTS = Table(
    "job_parts",
    METADATA,
    Column("job_id", Id, ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("result", LargeBinary, nullable=False),
)

SWEEP_CHUNKS = Table(
    "sweep_chunks",
    METADATA,
    Column("job_id", Id, ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("first_row", Integer, nullable=False),
    Column("row_count", Integer, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("result_rows", Integer, nullable=False),
    Column("failed_rows", Integer, nullable=False),
    Column("inputs", LargeBinary),
    Column("result", LargeBinary),
    Column("problems", LargeBinary),
)

CHUNK_OPEN = SWEEP_CHUNKS.c.result.is_(None)
CHUNK_AMISS = SWEEP_CHUNKS.c.problems.is_not(None)

partial_index(
    "ix_sweep_chunks_open", SWEEP_CHUNKS.c.job_id, SWEEP_CHUNKS.c.number, where=CHUNK_OPEN
)
partial_index(
    "ix_sweep_chunks_problems", SWEEP_CHUNKS.c.job_id, SWEEP_CHUNKS.c.number, where=CHUNK_AMISS
)
