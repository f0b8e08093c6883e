"""Offices, keys and links, scenarios with their revisions, costings and notes, traces."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

ID = sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")
TIME = sa.BigInteger()
"""Milliseconds since 1970 in UTC."""

YEARS_OF_AUDIT_MS = 3 * 365 * 24 * 60 * 60 * 1000

NEVER_CHANGES = {
    "sqlite": """
        CREATE TRIGGER {table}_never_changes BEFORE UPDATE ON {table}
        BEGIN SELECT RAISE(ABORT, 'a row of {table} never changes'); END
        """,
    "postgresql": """
        CREATE TRIGGER {table}_never_changes BEFORE UPDATE ON {table}
        FOR EACH ROW EXECUTE FUNCTION row_never_changes()
        """,
}
AUDIT_IS_KEPT = {
    "sqlite": f"""
        CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
        WHEN OLD.at > CAST(strftime('%s', 'now') AS INTEGER) * 1000 - {YEARS_OF_AUDIT_MS}
        BEGIN SELECT RAISE(ABORT, 'a row of audit is kept for three years'); END
        """,
    "postgresql": f"""
        CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
        FOR EACH ROW
        WHEN (OLD.at > extract(epoch FROM now()) * 1000 - {YEARS_OF_AUDIT_MS})
        EXECUTE FUNCTION row_is_kept()
        """,
}
FUNCTIONS = (
    """
    CREATE FUNCTION row_never_changes() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
      RAISE EXCEPTION 'a row of % never changes', TG_TABLE_NAME
        USING ERRCODE = 'integrity_constraint_violation';
    END $$
    """,
    """
    CREATE FUNCTION row_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
      RAISE EXCEPTION 'a row of % is kept for three years', TG_TABLE_NAME
        USING ERRCODE = 'integrity_constraint_violation';
    END $$
    """,
)


def upgrade() -> None:
    create_owners()
    create_scenarios()
    create_what_hangs_on_scenarios()
    create_traces()
    create_triggers()


def downgrade() -> None:
    for table in (
        "erasures",
        "audit",
        "replays",
        "notes",
        "costings",
        "credentials",
        "revisions",
        "scenarios",
        "offices",
    ):
        op.drop_table(table)
    if op.get_context().dialect.name == "postgresql":
        op.execute("DROP FUNCTION row_never_changes()")
        op.execute("DROP FUNCTION row_is_kept()")


def partial_index(name: str, table: str, columns: list[str], where: str, *, unique: bool = False):
    condition = sa.text(where)
    op.create_index(
        name, table, columns, unique=unique, sqlite_where=condition, postgresql_where=condition
    )


def create_owners() -> None:
    op.create_table(
        "offices",
        sa.Column("id", ID, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offices")),
        sa.UniqueConstraint("name", name=op.f("uq_offices_name")),
    )


def create_scenarios() -> None:
    op.create_table(
        "scenarios",
        sa.Column("id", ID, nullable=False),
        sa.Column("office_id", ID, nullable=False),
        sa.Column("external_id", sa.Text(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("origin_id", ID, nullable=True),
        sa.Column("origin_revision", sa.Integer(), nullable=True),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("updated_at", TIME, nullable=False),
        sa.Column("binned_at", TIME, nullable=True),
        sa.CheckConstraint("revision >= 1", name=op.f("ck_scenarios_revision")),
        sa.CheckConstraint(
            "(origin_id IS NULL) = (origin_revision IS NULL)", name=op.f("ck_scenarios_origin")
        ),
        sa.ForeignKeyConstraint(["office_id"], ["offices.id"], name=op.f("fk_scenarios_offices")),
        sa.ForeignKeyConstraint(
            ["origin_id"], ["scenarios.id"], name=op.f("fk_scenarios_scenarios")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scenarios")),
    )
    partial_index(
        "uq_scenarios_external_id",
        "scenarios",
        ["office_id", "external_id"],
        "external_id IS NOT NULL",
        unique=True,
    )
    listed, binned = "binned_at IS NULL", "binned_at IS NOT NULL"
    partial_index("ix_scenarios_listed", "scenarios", ["office_id", "id"], listed)
    partial_index("ix_scenarios_changed", "scenarios", ["office_id", "updated_at", "id"], listed)
    partial_index("ix_scenarios_bin", "scenarios", ["office_id", "id"], binned)
    partial_index("ix_scenarios_binned", "scenarios", ["binned_at", "id"], binned)
    partial_index("ix_scenarios_origin", "scenarios", ["origin_id", "id"], "origin_id IS NOT NULL")
    op.create_table(
        "revisions",
        sa.Column("scenario_id", ID, nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("document_schema", sa.Integer(), nullable=False),
        sa.Column("document_sha256", sa.String(64), nullable=False),
        sa.Column("reference_edition", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_from", sa.Integer(), nullable=True),
        sa.Column("author_id", ID, nullable=False),
        sa.Column("author_label", sa.Text(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=True),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.CheckConstraint("number >= 1", name=op.f("ck_revisions_number")),
        sa.CheckConstraint(
            "made_by IN ('create', 'put', 'patch', 'restore', 'copy')",
            name=op.f("ck_revisions_made_by"),
        ),
        sa.ForeignKeyConstraint(
            ["scenario_id"],
            ["scenarios.id"],
            name=op.f("fk_revisions_scenarios"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("scenario_id", "number", name=op.f("pk_revisions")),
    )


def create_what_hangs_on_scenarios() -> None:
    op.create_table(
        "credentials",
        sa.Column("id", ID, nullable=False),
        sa.Column("office_id", ID, nullable=False),
        sa.Column("scenario_id", ID, nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("access", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("digest", sa.LargeBinary(32), nullable=False),
        sa.Column("pepper", sa.Integer(), nullable=False),
        sa.Column("hint", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("created_by", ID, nullable=False),
        sa.Column("expires_at", TIME, nullable=False),
        sa.Column("revoked_at", TIME, nullable=True),
        sa.Column("last_used_on", sa.Date(), nullable=True),
        sa.Column("seen_in_url_at", TIME, nullable=True),
        sa.CheckConstraint("kind IN ('key', 'link')", name=op.f("ck_credentials_kind")),
        sa.CheckConstraint(
            "(kind = 'key' AND access IN ('read', 'write', 'admin'))"
            " OR (kind = 'link' AND access IN ('read', 'edit'))",
            name=op.f("ck_credentials_access"),
        ),
        sa.CheckConstraint(
            "(kind = 'link') = (scenario_id IS NOT NULL)",
            name=op.f("ck_credentials_scenario_id"),
        ),
        sa.CheckConstraint("length(digest) = 32", name=op.f("ck_credentials_digest")),
        sa.ForeignKeyConstraint(["office_id"], ["offices.id"], name=op.f("fk_credentials_offices")),
        sa.ForeignKeyConstraint(
            ["scenario_id"],
            ["scenarios.id"],
            name=op.f("fk_credentials_scenarios"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_credentials")),
        sa.UniqueConstraint("digest", name=op.f("uq_credentials_digest")),
    )
    partial_index("ix_credentials_keys", "credentials", ["office_id", "id"], "scenario_id IS NULL")
    partial_index(
        "ix_credentials_links", "credentials", ["scenario_id", "id"], "scenario_id IS NOT NULL"
    )
    op.create_table(
        "costings",
        sa.Column("id", ID, nullable=False),
        sa.Column("scenario_id", ID, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("engine_version", sa.Text(), nullable=False),
        sa.Column("reference_edition", sa.Text(), nullable=False),
        sa.Column("content_key", sa.Text(), nullable=False),
        sa.Column("best_system", sa.Text(), nullable=False),
        sa.Column("annual_equivalent_cost", sa.Double(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.Column("opened_on", sa.Date(), nullable=False),
        sa.Column("result", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["scenario_id", "revision"],
            ["revisions.scenario_id", "revisions.number"],
            name=op.f("fk_costings_revisions"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_costings")),
        sa.UniqueConstraint(
            "scenario_id",
            "revision",
            "engine_version",
            "reference_edition",
            name=op.f("uq_costings_cause"),
        ),
    )
    op.create_index("ix_costings_page", "costings", ["scenario_id", "id"])
    op.create_table(
        "notes",
        sa.Column("id", ID, nullable=False),
        sa.Column("scenario_id", ID, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("input_path", sa.Text(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("author_id", ID, nullable=False),
        sa.Column("author_label", sa.Text(), nullable=False),
        sa.Column("created_at", TIME, nullable=False),
        sa.CheckConstraint("length(body) <= 4000", name=op.f("ck_notes_body")),
        sa.ForeignKeyConstraint(
            ["scenario_id", "revision"],
            ["revisions.scenario_id", "revisions.number"],
            name=op.f("fk_notes_revisions"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notes")),
    )
    op.create_index("ix_notes_page", "notes", ["scenario_id", "id"])


def create_traces() -> None:
    op.create_table(
        "replays",
        sa.Column("credential_id", ID, nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.Text(), nullable=False),
        sa.Column("claimed_at", TIME, nullable=False),
        sa.Column("expires_at", TIME, nullable=False),
        sa.Column("status", sa.SmallInteger(), nullable=True),
        sa.Column("headers", sa.Text(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.Column("object_id", ID, nullable=True),
        sa.PrimaryKeyConstraint("credential_id", "key", name=op.f("pk_replays")),
    )
    op.create_index("ix_replays_expires_at", "replays", ["expires_at"])
    partial_index("ix_replays_object_id", "replays", ["object_id"], "object_id IS NOT NULL")
    op.create_table(
        "audit",
        sa.Column("at", TIME, nullable=False),
        sa.Column("office_id", ID, nullable=False),
        sa.Column("credential_id", ID, nullable=False),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("object_id", ID, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=True),
        sa.Column("request_id", sa.Text(), nullable=False),
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_audit")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_audit_office", "audit", ["office_id", "number"])
    op.create_index("ix_audit_object", "audit", ["office_id", "object_id", "number"])
    op.create_index("ix_audit_at", "audit", ["at"])
    op.create_table(
        "erasures",
        sa.Column("act", sa.Text(), nullable=False),
        sa.Column("object_id", ID, nullable=False),
        sa.Column("at", TIME, nullable=False),
        sa.CheckConstraint("act IN ('erase', 'revoke')", name=op.f("ck_erasures_act")),
        sa.PrimaryKeyConstraint("act", "object_id", name=op.f("pk_erasures")),
    )


def create_triggers() -> None:
    kind = op.get_context().dialect.name
    if kind == "postgresql":
        for function in FUNCTIONS:
            op.execute(function)
    for table in ("revisions", "audit"):
        op.execute(NEVER_CHANGES[kind].format(table=table))
    op.execute(AUDIT_IS_KEPT[kind])
