"""What the acts and the store add to the statements that they run (T6)."""

import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import event

from service.demo import demo_document
from service.scenarios.access import identified
from service.scenarios.drafts import drafted
from service.scenarios.keeping import create, current
from service.store.database import Database
from tests.benchmarks.in_process import opened_desk
from tests.benchmarks.measure import Measure
from tests.benchmarks.ratio import compared

ROUNDS = 11
ID = re.compile(r"[a-z]{2}_[0-9A-HJKMNP-TV-Z]{26}")
Statements = list[tuple[Any, Any]]


def act_measures() -> Iterator[Measure]:
    """T6: reading and storing a scenario, on SQLite."""
    document = {name: value for name, value in demo_document().items() if name != "external_id"}
    with tempfile.TemporaryDirectory() as folder, opened_desk(Path(folder)) as (desk, token):
        store = desk.store
        if not isinstance(store, Database):
            raise TypeError(store)
        with store.reading() as session:
            caller, _ = identified(session, desk, token)
        kept = create(desk, caller, document)
        head, revision = kept.head, kept.revision

        def read_rows() -> None:
            with store.reading() as session:
                session.scenarios.head(head.office_id, head.id)
                session.scenarios.revision(head.id, revision.number)

        def read() -> None:
            with store.reading() as session:
                current(session, desk, caller, head.id)

        def keep() -> object:
            return create(desk, caller, document)

        alone = _replayed(store, read_rows, writes=False)
        yield compared(read_rows, alone, ROUNDS).ratio(
            "T6 rows of a scenario / the same statements alone", most=1.6, aim=1.3
        )
        yield compared(read, alone, ROUNDS).ratio("   the act, its document read")
        writing = _replayed(store, keep, writes=True)
        stored = compared(keep, writing, ROUNDS)
        checks = compared(
            lambda: drafted(desk, caller.office_id, document), lambda: None, ROUNDS
        ).first_ms
        yield stored.ratio("   storing a scenario / its statements alone")
        added = (stored.first_ms - checks) / stored.second_ms
        yield Measure("T6 the same, its document read and checked before", added, "times", 1.6)
        yield Measure("   reading and checking", checks, "ms")


def _replayed(store: Database, work: Callable[[], object], *, writes: bool) -> Callable[[], None]:
    """Return what runs the statements of a work again, with new ids where it writes."""
    statements = _statements_of(store, work)
    numbers = count(1)

    def again() -> None:
        number = next(numbers)
        given = [
            (one, _renamed(values, number) if writes else values) for one, values in statements
        ]
        engine = store.engine if writes else store.engine.execution_options(reads_alone=True)
        with engine.begin() if writes else engine.connect() as connection:
            for statement, values in given:
                result = connection.execute(statement, values)
                if result.returns_rows:
                    result.all()

    return again


def _statements_of(store: Database, work: Callable[[], object]) -> Statements:
    with _listening(store) as found:
        work()
    if not found:
        raise ValueError(work)
    return found


@contextmanager
def _listening(store: Database) -> Iterator[Statements]:
    found: Statements = []

    def note(_connection, statement, several, one, _options) -> None:
        found.append((statement, list(several) or dict(one)))

    event.listen(store.engine, "before_execute", note)
    try:
        yield found
    finally:
        event.remove(store.engine, "before_execute", note)


def _renamed(values: Any, number: int) -> Any:
    """Return what a statement is given, with the ids of what was made then made new."""
    if isinstance(values, list):
        return [_renamed(one, number) for one in values]
    return {name: _new_id(name, value, number) for name, value in values.items()}


def _new_id(name: str, value: Any, number: int) -> Any:
    if (
        name in {"id", "scenario_id", "object_id"}
        and isinstance(value, str)
        and ID.fullmatch(value)
    ):
        return f"{value[:-8]}{number:08d}"
    return value
