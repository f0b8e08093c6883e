"""The tables. Columns are called as the fields of the records that they keep.

Those of weather records and of jobs stand in modules of their own.
"""

from typing import Any, get_args

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    ColumnElement,
    Date,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    SmallInteger,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from service.scenarios.records import CredentialKind, MadeBy
from service.store.columns import NAMES, Id, PlainText, UtcMs, one_of

METADATA = MetaData(naming_convention=NAMES)

LONGEST_NOTE = 4_000
DIGEST_BYTES = 32
SHA256_LETTERS = 64


def partial_index(
    name: str, *columns: Column[Any], where: ColumnElement[bool], unique: bool = False
) -> Index:
    """Return an index over some of the rows, on both databases."""
    return Index(name, *columns, unique=unique, sqlite_where=where, postgresql_where=where)


OFFICES = Table(
    "offices",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("name", PlainText, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    UniqueConstraint("name"),
)

SCENARIOS = Table(
    "scenarios",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("office_id", Id, ForeignKey("offices.id"), nullable=False),
    Column("external_id", PlainText),
    Column("name", PlainText, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("origin_id", Id, ForeignKey("scenarios.id")),
    Column("origin_revision", Integer),
    Column("created_at", UtcMs, nullable=False),
    Column("updated_at", UtcMs, nullable=False),
    Column("binned_at", UtcMs),
    CheckConstraint("revision >= 1", name="revision"),
    CheckConstraint("(origin_id IS NULL) = (origin_revision IS NULL)", name="origin"),
)
_LISTED = SCENARIOS.c.binned_at.is_(None)
_BINNED = SCENARIOS.c.binned_at.is_not(None)
partial_index(
    "uq_scenarios_external_id",
    SCENARIOS.c.office_id,
    SCENARIOS.c.external_id,
    where=SCENARIOS.c.external_id.is_not(None),
    unique=True,
)
partial_index("ix_scenarios_listed", SCENARIOS.c.office_id, SCENARIOS.c.id, where=_LISTED)
partial_index(
    "ix_scenarios_changed",
    SCENARIOS.c.office_id,
    SCENARIOS.c.updated_at,
    SCENARIOS.c.id,
    where=_LISTED,
)
partial_index("ix_scenarios_bin", SCENARIOS.c.office_id, SCENARIOS.c.id, where=_BINNED)
partial_index("ix_scenarios_binned", SCENARIOS.c.binned_at, SCENARIOS.c.id, where=_BINNED)
partial_index(
    "ix_scenarios_origin",
    SCENARIOS.c.origin_id,
    SCENARIOS.c.id,
    where=SCENARIOS.c.origin_id.is_not(None),
)

REVISIONS = Table(
    "revisions",
    METADATA,
    Column("scenario_id", Id, ForeignKey("scenarios.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("document_schema", Integer, nullable=False),
    Column("document_sha256", String(SHA256_LETTERS), nullable=False),
    Column("reference_edition", Text, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("made_from", Integer),
    Column("author_id", Id, nullable=False),
    Column("author_label", PlainText, nullable=False),
    Column("remark", PlainText),
    Column("created_at", UtcMs, nullable=False),
    Column("document", Text, nullable=False),
    CheckConstraint("number >= 1", name="number"),
    one_of("made_by", get_args(MadeBy)),
)

CREDENTIALS = Table(
    "credentials",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("office_id", Id, ForeignKey("offices.id"), nullable=False),
    Column("scenario_id", Id, ForeignKey("scenarios.id", ondelete="CASCADE")),
    Column("kind", Text, nullable=False),
    Column("access", Text, nullable=False),
    Column("label", PlainText, nullable=False),
    Column("digest", LargeBinary(DIGEST_BYTES), nullable=False),
    Column("pepper", Integer, nullable=False),
    Column("hint", Text, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    Column("created_by", Id, nullable=False),
    Column("expires_at", UtcMs, nullable=False),
    Column("revoked_at", UtcMs),
    Column("last_used_on", Date),
    Column("seen_in_url_at", UtcMs),
    UniqueConstraint("digest"),
    one_of("kind", get_args(CredentialKind)),
    CheckConstraint(
        "(kind = 'key' AND access IN ('read', 'write', 'admin'))"
        " OR (kind = 'link' AND access IN ('read', 'edit'))",
        name="access",
    ),
    CheckConstraint("(kind = 'link') = (scenario_id IS NOT NULL)", name="scenario_id"),
    CheckConstraint(f"length(digest) = {DIGEST_BYTES}", name="digest"),
)
partial_index(
    "ix_credentials_keys",
    CREDENTIALS.c.office_id,
    CREDENTIALS.c.id,
    where=CREDENTIALS.c.scenario_id.is_(None),
)
partial_index(
    "ix_credentials_links",
    CREDENTIALS.c.scenario_id,
    CREDENTIALS.c.id,
    where=CREDENTIALS.c.scenario_id.is_not(None),
)

COSTINGS = Table(
    "costings",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("scenario_id", Id, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("engine_version", Text, nullable=False),
    Column("reference_edition", Text, nullable=False),
    Column("content_key", Text, nullable=False),
    Column("best_system", Text, nullable=False),
    Column("annual_equivalent_cost", Double, nullable=False),
    Column("currency", Text, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    Column("opened_on", Date, nullable=False),
    Column("result", LargeBinary, nullable=False),
    ForeignKeyConstraint(
        ["scenario_id", "revision"],
        ["revisions.scenario_id", "revisions.number"],
        ondelete="CASCADE",
    ),
    UniqueConstraint(
        "scenario_id", "revision", "engine_version", "reference_edition", name="uq_costings_cause"
    ),
    Index("ix_costings_page", "scenario_id", "id"),
)

NOTES = Table(
    "notes",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("scenario_id", Id, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("input_path", Text),
    Column("body", PlainText, nullable=False),
    Column("author_id", Id, nullable=False),
    Column("author_label", PlainText, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    ForeignKeyConstraint(
        ["scenario_id", "revision"],
        ["revisions.scenario_id", "revisions.number"],
        ondelete="CASCADE",
    ),
    CheckConstraint(f"length(body) <= {LONGEST_NOTE}", name="body"),
    Index("ix_notes_page", "scenario_id", "id"),
)

REPLAYS = Table(
    "replays",
    METADATA,
    Column("credential_id", Id, primary_key=True),
    Column("key", PlainText, primary_key=True),
    Column("fingerprint", Text, nullable=False),
    Column("claimed_at", UtcMs, nullable=False),
    Column("expires_at", UtcMs, nullable=False),
    Column("status", SmallInteger),
    Column("headers", Text, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("object_id", Id),
    Index("ix_replays_expires_at", "expires_at"),
)
partial_index("ix_replays_object_id", REPLAYS.c.object_id, where=REPLAYS.c.object_id.is_not(None))

AUDIT = Table(
    "audit",
    METADATA,
    Column("at", UtcMs, nullable=False),
    Column("office_id", Id, nullable=False),
    Column("credential_id", Id, nullable=False),
    Column("action", Text, nullable=False),
    Column("object_id", Id, nullable=False),
    Column("revision", Integer),
    Column("request_id", PlainText, nullable=False),
    # SQLite counts by itself in a column called INTEGER alone, and never gives a number twice.
    Column("number", BigInteger().with_variant(Integer, "sqlite"), primary_key=True),
    Index("ix_audit_office", "office_id", "number"),
    Index("ix_audit_object", "office_id", "object_id", "number"),
    Index("ix_audit_at", "at"),
    sqlite_autoincrement=True,
)

ERASURES = Table(
    "erasures",
    METADATA,
    Column("act", Text, primary_key=True),
    Column("object_id", Id, primary_key=True),
    Column("at", UtcMs, nullable=False),
    one_of("act", ("erase", "revoke")),
)
