"""Sweeps beside analyses, and their chunks."""

from collections.abc import Generator
from contextlib import contextmanager

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

ID = sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")
TIME = sa.BigInteger()
"""Milliseconds since 1970 in UTC."""
UNFINISHED = "state IN ('queued', 'running')"
SWEEPS = "kind = 'sweep'"
NEW_COLUMNS = ("kind", "result_rows", "failed_rows")
NEW_CHECKS = {
    "ck_jobs_kind": "kind IN ('analysis', 'sweep')",
    "ck_jobs_scenario": "kind = 'sweep' OR scenario_id IS NOT NULL",
    "ck_jobs_revision": "(scenario_id IS NULL) = (revision IS NULL)",
}


def upgrade() -> None:
    with kept_parts(), op.batch_alter_table("jobs", copy_from=jobs(with_sweeps=False)) as batch:
        batch.alter_column("scenario_id", existing_type=ID, nullable=True)
        batch.alter_column("revision", existing_type=sa.Integer(), nullable=True)
        for column in new_columns():
            batch.add_column(column)
        for name, condition in NEW_CHECKS.items():
            batch.create_check_constraint(op.f(name), condition)
    partial_index("ix_jobs_sweeps", "jobs", ["office_id", "id"], SWEEPS)
    create_chunks()


def downgrade() -> None:
    op.drop_table("sweep_chunks")
    op.execute("DELETE FROM jobs WHERE kind = 'sweep'")
    op.drop_index("ix_jobs_sweeps", "jobs")
    with kept_parts(), op.batch_alter_table("jobs", copy_from=jobs(with_sweeps=True)) as batch:
        for name in NEW_CHECKS:
            batch.drop_constraint(op.f(name), type_="check")
        for name in NEW_COLUMNS:
            batch.drop_column(name)
        batch.alter_column("scenario_id", existing_type=ID, nullable=False)
        batch.alter_column("revision", existing_type=sa.Integer(), nullable=False)


def new_columns() -> list[sa.Column]:
    return [
        sa.Column("kind", sa.Text(), nullable=False, server_default="analysis"),
        sa.Column("result_rows", sa.Integer(), nullable=False, server_default="0"),
        sa.Column("failed_rows", sa.Integer(), nullable=False, server_default="0"),
    ]


@contextmanager
def kept_parts() -> Generator[None]:
    """Set the parts of jobs aside: SQLite makes the table anew, and they would go with the old."""
    embedded = op.get_bind().dialect.name == "sqlite"
    if embedded:
        op.execute("CREATE TEMPORARY TABLE parts_aside AS SELECT * FROM job_parts")
    yield
    if embedded:
        op.execute(
            "INSERT INTO job_parts (job_id, number, result) "
            "SELECT job_id, number, result FROM parts_aside"
        )
        op.execute("DROP TABLE parts_aside")


def partial_index(name: str, table: str, columns: list[str], where: str) -> None:
    condition = sa.text(where)
    op.create_index(name, table, columns, sqlite_where=condition, postgresql_where=condition)


def jobs(*, with_sweeps: bool) -> sa.Table:
    """Return the table as it is before the step, or after it, for SQLite to make it anew from."""
    unfinished = sa.text(UNFINISHED)
    more = NEW_CHECKS if with_sweeps else {}
    return sa.Table(
        "jobs",
        sa.MetaData(),
        sa.Column("id", ID, nullable=False),
        sa.Column("office_id", ID, nullable=False),
        sa.Column("scenario_id", ID, nullable=with_sweeps),
        sa.Column("revision", sa.Integer(), nullable=with_sweeps),
        sa.Column("question", sa.Text(), nullable=False),
        sa.Column("request", sa.Text(), nullable=False),
        sa.Column("request_key", sa.Text(), nullable=False),
        sa.Column("engine_version", sa.Text(), nullable=False),
        sa.Column("reference_edition", sa.Text(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("worker", sa.Text(), nullable=True),
        sa.Column("lease_until", TIME, nullable=True),
        sa.Column("cancel_at", TIME, nullable=True),
        sa.Column("created_by", ID, nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("started_at", TIME, nullable=True),
        sa.Column("finished_at", TIME, nullable=True),
        sa.Column("expires_at", TIME, nullable=False),
        sa.Column("result", sa.LargeBinary(), nullable=True),
        sa.Column("problem", sa.Text(), nullable=True),
        *(new_columns() if with_sweeps else []),
        sa.CheckConstraint(
            "state IN ('queued', 'running', 'done', 'failed', 'cancelled')",
            name=op.f("ck_jobs_state"),
        ),
        sa.CheckConstraint("0 <= done AND done <= total", name=op.f("ck_jobs_done")),
        sa.CheckConstraint(
            "state <> 'running' OR (worker IS NOT NULL AND lease_until IS NOT NULL)",
            name=op.f("ck_jobs_lease"),
        ),
        *(sa.CheckConstraint(text, name=op.f(name)) for name, text in more.items()),
        sa.ForeignKeyConstraint(["office_id"], ["offices.id"], name=op.f("fk_jobs_offices")),
        sa.ForeignKeyConstraint(
            ["scenario_id", "revision"],
            ["revisions.scenario_id", "revisions.number"],
            name=op.f("fk_jobs_revisions"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
        sa.Index("ix_jobs_page", "scenario_id", "id"),
        sa.Index("ix_jobs_request", "scenario_id", "request_key", "id"),
        sa.Index("ix_jobs_expires_at", "expires_at"),
        sa.Index(
            "ix_jobs_open",
            "created_at",
            "id",
            sqlite_where=unfinished,
            postgresql_where=unfinished,
        ),
        sa.Index(
            "ix_jobs_waiting",
            "office_id",
            sqlite_where=unfinished,
            postgresql_where=unfinished,
        ),
    )


def create_chunks() -> None:
    op.create_table(
        "sweep_chunks",
        sa.Column("job_id", ID, nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first_row", sa.Integer(), nullable=False),
        sa.Column("row_count", sa.Integer(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("result_rows", sa.Integer(), nullable=False),
        sa.Column("failed_rows", sa.Integer(), nullable=False),
        sa.Column("inputs", sa.LargeBinary(), nullable=True),
        sa.Column("result", sa.LargeBinary(), nullable=True),
        sa.Column("problems", sa.LargeBinary(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job_id"], ["jobs.id"], name=op.f("fk_sweep_chunks_jobs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("job_id", "number", name=op.f("pk_sweep_chunks")),
    )
    own = ["job_id", "number"]
    partial_index("ix_sweep_chunks_open", "sweep_chunks", own, "result IS NULL")
    partial_index("ix_sweep_chunks_problems", "sweep_chunks", own, "problems IS NOT NULL")
