"""Types of columns, and what is written the same way in every table."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from sqlalchemy import BigInteger, CheckConstraint, Dialect, String, Text
from sqlalchemy.types import TypeDecorator, TypeEngine

LONGEST_ID = 32
LARGEST_NUMBER = 2**31 - 1

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)

NAMES = {
    "pk": "pk_%(table_name)s",
    "fk": "fk_%(table_name)s_%(referred_table_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
}
"""How a constraint is named, so that a migration can name it too. Indexes are named by hand."""


class UtcMs(TypeDecorator[datetime]):
    """A time, kept as whole milliseconds since 1970 in UTC."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """Return the milliseconds; a time without a zone is an error."""
        del dialect
        return None if value is None else (value - _EPOCH) // _MILLISECOND

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        """Return the time."""
        del dialect
        return None if value is None else _EPOCH + timedelta(milliseconds=value)


class PlainText(TypeDecorator[str]):
    """Text that a caller wrote.

    PostgreSQL refuses the character NUL in any text, so that an address with one would fail
    instead of finding nothing. It becomes the replacement character, on both databases.
    """

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """Return the text without NUL."""
        del dialect
        return None if value is None else value.replace("\0", "\ufffd")


class Id(PlainText):
    """An id; ordered by its bytes, as Python and SQLite order it, whatever the locale."""

    impl = String(LONGEST_ID)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[str]:
        """Return the type of the database."""
        collation = "C" if dialect.name == "postgresql" else None
        return dialect.type_descriptor(String(LONGEST_ID, collation=collation))


def one_of(column: str, words: Iterable[str]) -> CheckConstraint:
    """Return the check that a column holds one of some words."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


def bounded(number: int) -> int:
    """Return a number that a caller gave, cut to what an integer column can be compared with."""
    return max(-1, min(number, LARGEST_NUMBER))
