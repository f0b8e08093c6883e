"""Records of daily weather and the winters that were counted in them."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Generator, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any

from sqlalchemy import Connection, Select, bindparam, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.scenarios.errors import RecordInUseError, UnknownWeatherRecordError
from service.scenarios.records import (
    Classification,
    StoredWeatherRecord,
    WeatherRecord,
    WeatherWinter,
)
from service.store.inserts import unless_there
from service.store.shapes import Shape
from service.store.weather_tables import (
    WEATHER_CLASSIFICATIONS,
    WEATHER_RECORDS,
    WEATHER_USES,
    WEATHER_WINTERS,
)

MOST_USERS_TOLD = 20

STORED_RECORD = Shape(WEATHER_RECORDS, StoredWeatherRecord)
RECORD = Shape(WEATHER_RECORDS, WeatherRecord)
CLASSIFICATION = Shape(WEATHER_CLASSIFICATIONS, Classification)
WINTER = Shape(WEATHER_WINTERS, WeatherWinter)

_R = WEATHER_RECORDS.c
_C = WEATHER_CLASSIFICATIONS.c
_W = WEATHER_WINTERS.c
_U = WEATHER_USES.c
_THIS = _R.id == bindparam("record")
_OF_OFFICE = _R.office_id == bindparam("office")
_OF_RECORD = _C.record_id == bindparam("record")

_ADD = unless_there(_R.office_id, _R.sha256)
_SAME_DAYS = select(*RECORD.columns).where(_OF_OFFICE, _R.sha256 == bindparam("digest"))
_GET = select(*RECORD.columns).where(_THIS, _OF_OFFICE)
_DAYS = select(_R.days).where(_THIS)
_STANDS = select(_R.id).where(_THIS)
_DELETE = delete(WEATHER_RECORDS).where(_THIS)

_NAME_NEWEST = update(WEATHER_RECORDS).where(_THIS)
_NEXT_NUMBER = select(func.coalesce(func.max(_C.number), 0) + 1).where(_OF_RECORD)
_ADD_CLASSIFICATION = {
    kind: statement.values(number=_NEXT_NUMBER.scalar_subquery())
    for kind, statement in unless_there(_C.record_id, _C.classifier).items()
}
_ADD_WINTERS = insert(WEATHER_WINTERS)
_CLASSIFICATION = select(*CLASSIFICATION.columns).where(
    _OF_RECORD, _C.classifier == bindparam("by")
)
_CLASSIFICATIONS = select(*CLASSIFICATION.columns).where(_OF_RECORD).order_by(_C.number)
_WINTERS = (
    select(*WINTER.columns)
    .where(_W.record_id == bindparam("record"), _W.classifier == bindparam("by"))
    .order_by(_W.season)
)

_USE = unless_there(_U.record_id, _U.scenario_id)
_USERS = (
    select(_U.scenario_id)
    .where(_U.record_id == bindparam("record"))
    .order_by(_U.scenario_id)
    .limit(bindparam("most"))
)


class WeatherRecordRows:
    """Records of daily weather, the winters that were counted in them, and who uses them."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, record: StoredWeatherRecord) -> WeatherRecord:
        add = _ADD[self._connection.dialect.name]
        values = STORED_RECORD.values(record)
        wanted = {"office": record.office_id, "digest": record.sha256}
        while self._connection.execute(add, values).rowcount == 0:
            kept = RECORD.of_first(self._connection.execute(_SAME_DAYS, wanted).first())
            if kept is not None:
                return kept
        return WeatherRecord(**{column.name: values[column.name] for column in RECORD.columns})

    def get(self, office_id: str, record_id: str) -> WeatherRecord | None:
        wanted = {"record": record_id, "office": office_id}
        return RECORD.of_first(self._connection.execute(_GET, wanted).first())

    def days(self, record_id: str) -> bytes | None:
        return self._connection.execute(_DAYS, {"record": record_id}).scalar()

    def page(self, office_id: str, before_id: str | None, limit: int) -> Sequence[WeatherRecord]:
        wanted: dict[str, Any] = {"office": office_id, "most": limit}
        if before_id is not None:
            wanted["before"] = before_id
        statement = _page(further=before_id is not None)
        return [RECORD.of(row) for row in self._connection.execute(statement, wanted)]

    def classify(
        self, classification: Classification, winters: Sequence[WeatherWinter]
    ) -> Classification:
        record_id, classifier = classification.record_id, classification.classifier
        # First, so that of two at once the second waits: the next number is then its own.
        newest = {"record": record_id, "classifier": classifier}
        if self._connection.execute(_NAME_NEWEST, newest).rowcount == 0:
            raise UnknownWeatherRecordError(record_id)
        add = _ADD_CLASSIFICATION[self._connection.dialect.name]
        values = CLASSIFICATION.values(classification) | {"record": record_id}
        if self._connection.execute(add, values).rowcount == 0:
            return self.classification(record_id, classifier) or classification
        if winters:
            self._connection.execute(_ADD_WINTERS, [WINTER.values(one) for one in winters])
        return classification

    def classification(self, record_id: str, classifier: str) -> Classification | None:
        wanted = {"record": record_id, "by": classifier}
        return CLASSIFICATION.of_first(self._connection.execute(_CLASSIFICATION, wanted).first())

    def classifications(self, record_id: str) -> Sequence[Classification]:
        rows = self._connection.execute(_CLASSIFICATIONS, {"record": record_id})
        return [CLASSIFICATION.of(row) for row in rows]

    def winters(self, record_id: str, classifier: str) -> Sequence[WeatherWinter]:
        wanted = {"record": record_id, "by": classifier}
        return [WINTER.of(row) for row in self._connection.execute(_WINTERS, wanted)]

    def use(self, record_id: str, scenario_id: str) -> None:
        use = _USE[self._connection.dialect.name]
        with self._hung_on(record_id):
            self._connection.execute(use, {"record_id": record_id, "scenario_id": scenario_id})

    def users(self, record_id: str, limit: int) -> Sequence[str]:
        wanted = {"record": record_id, "most": limit}
        return self._connection.execute(_USERS, wanted).scalars().all()

    def delete(self, record_id: str) -> None:
        try:
            with self._connection.begin_nested():
                self._connection.execute(_DELETE, {"record": record_id})
        except IntegrityError:
            raise RecordInUseError(self.users(record_id, MOST_USERS_TOLD)) from None

    @contextmanager
    def _hung_on(self, record_id: str) -> Generator[None]:
        """Write what names a record; say so if it was deleted meanwhile.

        A savepoint keeps the transaction alive on PostgreSQL, where a failed statement would end
        it.
        """
        try:
            with self._connection.begin_nested():
                yield
        except IntegrityError:
            if self._connection.execute(_STANDS, {"record": record_id}).first() is None:
                raise UnknownWeatherRecordError(record_id) from None
            raise


@cache
def _page(*, further: bool) -> Select[Any]:
    statement = select(*RECORD.columns).where(_OF_OFFICE)
    if further:
        statement = statement.where(_R.id < bindparam("before"))
    return statement.order_by(_R.id.desc()).limit(bindparam("most"))
