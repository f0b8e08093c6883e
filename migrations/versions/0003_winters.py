"""Winters as they were."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

ID = sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")
TIME = sa.BigInteger()
"""Milliseconds since 1970 in UTC."""


def upgrade() -> None:
    op.create_table(
        "winters",
        sa.Column("scenario_id", ID, nullable=False),
        sa.Column("season", ID, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("planned_revision", sa.Integer(), nullable=False),
        sa.Column("system", sa.Text(), nullable=False),
        sa.Column("facts", sa.Text(), nullable=False),
        sa.Column("author_id", ID, nullable=False),
        sa.Column("author_label", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("updated_at", TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["scenario_id"],
            ["scenarios.id"],
            name=op.f("fk_winters_scenarios"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("scenario_id", "season", name=op.f("pk_winters")),
    )


def downgrade() -> None:
    op.drop_table("winters")
