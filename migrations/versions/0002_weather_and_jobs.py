"""Weather records with their winters, and work that is done in parts."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

ID = sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")
TIME = sa.BigInteger()
"""Milliseconds since 1970 in UTC."""


def upgrade() -> None:
    create_weather()
    create_jobs()


def downgrade() -> None:
    for table in (
        "job_parts",
        "jobs",
        "weather_uses",
        "weather_winters",
        "weather_classifications",
        "weather_records",
    ):
        op.drop_table(table)


def partial_index(name: str, table: str, columns: list[str], where: str):
    condition = sa.text(where)
    op.create_index(name, table, columns, sqlite_where=condition, postgresql_where=condition)


def create_weather() -> None:
    op.create_table(
        "weather_records",
        sa.Column("id", ID, nullable=False),
        sa.Column("office_id", ID, nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("source_format", sa.Text(), nullable=False),
        sa.Column("latitude", sa.Double(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("missing_days", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("classifier", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("days", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["office_id"], ["offices.id"], name=op.f("fk_weather_records_offices")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weather_records")),
        sa.UniqueConstraint(
            "office_id", "sha256", name=op.f("uq_weather_records_office_id_sha256")
        ),
    )
    op.create_index("ix_weather_records_page", "weather_records", ["office_id", "id"])
    op.create_table(
        "weather_classifications",
        sa.Column("record_id", ID, nullable=False),
        sa.Column("classifier", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["record_id"],
            ["weather_records.id"],
            name=op.f("fk_weather_classifications_weather_records"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("record_id", "classifier", name=op.f("pk_weather_classifications")),
        sa.UniqueConstraint(
            "record_id", "number", name=op.f("uq_weather_classifications_record_id_number")
        ),
    )
    op.create_table(
        "weather_winters",
        sa.Column("record_id", ID, nullable=False),
        sa.Column("classifier", sa.Text(), nullable=False),
        sa.Column("season", sa.Text(), nullable=False),
        sa.Column("frozen", sa.Integer(), nullable=False),
        sa.Column("snow_covered", sa.Integer(), nullable=False),
        sa.Column("firm", sa.Integer(), nullable=False),
        sa.Column("wet", sa.Integer(), nullable=False),
        sa.Column("missing", sa.Integer(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["record_id", "classifier"],
            ["weather_classifications.record_id", "weather_classifications.classifier"],
            name=op.f("fk_weather_winters_weather_classifications"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint(
            "record_id", "classifier", "season", name=op.f("pk_weather_winters")
        ),
    )
    op.create_table(
        "weather_uses",
        sa.Column("record_id", ID, nullable=False),
        sa.Column("scenario_id", ID, nullable=False),
        sa.ForeignKeyConstraint(
            ["record_id"],
            ["weather_records.id"],
            name=op.f("fk_weather_uses_weather_records"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["scenario_id"],
            ["scenarios.id"],
            name=op.f("fk_weather_uses_scenarios"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("record_id", "scenario_id", name=op.f("pk_weather_uses")),
    )
    op.create_index("ix_weather_uses_scenario", "weather_uses", ["scenario_id"])


def create_jobs() -> None:
    op.create_table(
        "jobs",
        sa.Column("id", ID, nullable=False),
        sa.Column("office_id", ID, nullable=False),
        sa.Column("scenario_id", ID, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
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
        sa.CheckConstraint(
            "state IN ('queued', 'running', 'done', 'failed', 'cancelled')",
            name=op.f("ck_jobs_state"),
        ),
        sa.CheckConstraint("0 <= done AND done <= total", name=op.f("ck_jobs_done")),
        sa.CheckConstraint(
            "state <> 'running' OR (worker IS NOT NULL AND lease_until IS NOT NULL)",
            name=op.f("ck_jobs_lease"),
        ),
        sa.ForeignKeyConstraint(["office_id"], ["offices.id"], name=op.f("fk_jobs_offices")),
        sa.ForeignKeyConstraint(
            ["scenario_id", "revision"],
            ["revisions.scenario_id", "revisions.number"],
            name=op.f("fk_jobs_revisions"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
    )
    op.create_index("ix_jobs_page", "jobs", ["scenario_id", "id"])
    op.create_index("ix_jobs_request", "jobs", ["scenario_id", "request_key", "id"])
    op.create_index("ix_jobs_expires_at", "jobs", ["expires_at"])
    unfinished = "state IN ('queued', 'running')"
    partial_index("ix_jobs_open", "jobs", ["created_at", "id"], unfinished)
    partial_index("ix_jobs_waiting", "jobs", ["office_id"], unfinished)
    op.create_table(
        "job_parts",
        sa.Column("job_id", ID, nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("result", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["job_id"], ["jobs.id"], name=op.f("fk_job_parts_jobs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("job_id", "number", name=op.f("pk_job_parts")),
    )
