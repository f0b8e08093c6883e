"""How a migration reaches the database, and what keeps two from running at once.

The connection is the one in ``config.attributes["connection"]``, if there is one; else that of
``-x url=...``; else that of the settings of the installation.
"""

from pathlib import Path
from typing import Literal

from alembic import context
from sqlalchemy import Connection, make_url, text

from service.settings import Settings
from service.store.columns import Id, PlainText, UtcMs
from service.store.database import Database
from service.store.tables import METADATA

LOCK = 0x77696E746572
"""Number of the advisory lock on PostgreSQL; anything that nobody else takes."""

WRITTEN = {
    UtcMs: "sa.BigInteger()",
    PlainText: "sa.Text()",
    Id: 'sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")',
}


def database() -> Database:
    settings = Settings()
    kept = settings.database.get_secret_value() if settings.database else None
    url = context.get_x_argument(as_dictionary=True).get("url", kept)
    if url is None:
        settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
        return Database.sqlite(settings.sqlite_file, 1)
    address = make_url(url)
    if address.get_backend_name() == "sqlite":
        return Database.sqlite(Path(address.database or ""), 1)
    return Database.postgres(url, 1)


def as_kept(kind: str, item: object, _: object) -> str | Literal[False]:
    """Write a type of ours into a new migration as the database has it, for ours may change."""
    return WRITTEN.get(type(item), False) if kind == "type" else False


def run(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=METADATA,
        transactional_ddl=True,  # SQLite can, once its driver begins nothing by itself
        render_as_batch=True,
        render_item=as_kept,
    )
    with context.begin_transaction():
        if connection.dialect.name == "postgresql":
            # Before the version is looked at: whoever waited here finds the work done.
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": LOCK})
        context.run_migrations()


def main() -> None:
    given = context.config.attributes.get("connection")
    if given is not None:
        run(given)
        return
    store = database()
    try:
        with store.engine.connect() as connection:
            run(connection)
    finally:
        store.close()


main()
