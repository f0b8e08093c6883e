"""The table of winters as they were. Columns are called as the fields of the record."""

from sqlalchemy import Column, ForeignKey, Integer, Table, Text

from service.store.columns import Id, PlainText, UtcMs
from service.store.tables import METADATA

PAST_WINTERS = Table(
    "winters",
    METADATA,
    Column("scenario_id", Id, ForeignKey("scenarios.id", ondelete="CASCADE"), primary_key=True),
    # Ordered by its bytes as an id is: seasons are listed by their names.
    Column("season", Id, primary_key=True),
    Column("version", Integer, nullable=False),
    Column("planned_revision", Integer, nullable=False),
    Column("system", Text, nullable=False),
    Column("facts", Text, nullable=False),
    Column("author_id", Id, nullable=False),
    Column("author_label", PlainText, nullable=False),
    Column("created_at", UtcMs, nullable=False),
    Column("updated_at", UtcMs, nullable=False),
)
