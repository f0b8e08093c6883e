"""The tables of weather records. Columns are called as the fields of the records that they keep."""

from sqlalchemy import (
    Column,
    Date,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from service.store.columns import Id, PlainText, UtcMs
from service.store.tables import METADATA, SHA256_LETTERS

WEATHER_RECORDS = Table(
    "weather_records",
    METADATA,
    Column("id", Id, primary_key=True),
    Column("office_id", Id, ForeignKey("offices.id"), nullable=False),
    Column("label", PlainText, nullable=False),
    Column("source_format", Text, nullable=False),
    Column("latitude", Double, nullable=False),
    Column("first_day", Date, nullable=False),
    Column("last_day", Date, nullable=False),
    Column("missing_days", Integer, nullable=False),
    Column("sha256", String(SHA256_LETTERS), nullable=False),
    # Names the newest of the rows below. No foreign key: they could only be made after each other.
    Column("classifier", Text, nullable=False),
    Column("told", Text, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    Column("days", LargeBinary, nullable=False),
    UniqueConstraint("office_id", "sha256"),
    Index("ix_weather_records_page", "office_id", "id"),
)

WEATHER_CLASSIFICATIONS = Table(
    "weather_classifications",
    METADATA,
    Column("record_id", Id, ForeignKey("weather_records.id", ondelete="CASCADE"), primary_key=True),
    Column("classifier", Text, primary_key=True),
    # From 1 within a record, for two may be made in the same millisecond.
    Column("number", Integer, nullable=False),
    Column("settings", Text, nullable=False),
    Column("told", Text, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    UniqueConstraint("record_id", "number"),
)

WEATHER_WINTERS = Table(
    "weather_winters",
    METADATA,
    Column("record_id", Id, primary_key=True),
    Column("classifier", Text, primary_key=True),
    Column("season", Text, primary_key=True),
    Column("frozen", Integer, nullable=False),
    Column("snow_covered", Integer, nullable=False),
    Column("firm", Integer, nullable=False),
    Column("wet", Integer, nullable=False),
    Column("missing", Integer, nullable=False),
    Column("detail", Text, nullable=False),
    ForeignKeyConstraint(
        ["record_id", "classifier"],
        ["weather_classifications.record_id", "weather_classifications.classifier"],
        ondelete="CASCADE",
    ),
)

WEATHER_USES = Table(
    "weather_uses",
    METADATA,
    Column(
        "record_id", Id, ForeignKey("weather_records.id", ondelete="RESTRICT"), primary_key=True
    ),
    Column("scenario_id", Id, ForeignKey("scenarios.id", ondelete="CASCADE"), primary_key=True),
    Index("ix_weather_uses_scenario", "scenario_id"),
)
