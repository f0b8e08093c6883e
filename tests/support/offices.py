"""Plain constructors of what is kept, and a desk on a store in memory.

Every record has a number, of which its id is made, so that a greater number sorts after a smaller
one. Whatever a test cares about it names; the rest is invented.
"""

import gzip
import hashlib
import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any, Literal

from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.ids import Prefix
from service.scenarios.records import (
    AuditEntry,
    Classification,
    Credential,
    Head,
    Job,
    Note,
    Office,
    PastWinter,
    Replay,
    Revision,
    StoredCosting,
    StoredWeatherRecord,
    WeatherWinter,
)
from service.scenarios.repositories import Session, Store
from service.scenarios.tokens import Peppers
from service.web.facts_reading import facts_of
from service.web.reading import scenario_of
from tests.support.fake_store import FakeJournal, FakeStore

FARM = Path(__file__).parents[1] / "data" / "worked_farms" / "worked_farm.json"
START = datetime(2026, 2, 3, 7, 30, 0, 125_000, tzinfo=UTC)
"""When the tests begin."""
DAY = START.date()
PEPPERS = Peppers({1: b"a secret for tests alone, of no use elsewhere"})


class Clock:
    """A time that stands still until a test moves it: ``desk.now.forward(days=1)``."""

    def __init__(self, at: datetime = START) -> None:
        self.at = at

    def __call__(self) -> datetime:
        """Return the time."""
        return self.at

    def forward(self, **more: float) -> datetime:
        """Let time go by, given as to ``timedelta``, and return what time it is then."""
        self.at += timedelta(**more)
        return self.at


def desk(store: Store | None = None, now: Clock | datetime | None = None, **more: Any) -> Desk:
    """Return a desk whose clock is ``desk.now``, on a new store in memory if none is given."""
    fake: Store = FakeStore()
    clock = now if isinstance(now, Clock) else Clock(now or START)
    settled: dict[str, Any] = {
        "store": fake if store is None else store,
        "journal": FakeJournal(),
        "read": read,
        "read_facts": facts_of,
        "peppers": PEPPERS,
        "now": clock,
    }
    return Desk(**(settled | more))


def read(document: Document) -> Any:
    """Turn a document into a scenario, as the service does."""
    return scenario_of(document)


@cache
def _farm() -> Document:
    return json.loads(FARM.read_text("utf-8"))


def small_document(**changes: Any) -> Document:
    """Return a fresh document that can be costed."""
    return deepcopy(_farm()) | changes


def numbered(prefix: Prefix | Literal["wr", "an", "sw"], number: int) -> str:
    """Return an id that sorts by its number."""
    return f"{prefix}_{number:026d}"


def office(number: int = 1, **changes: Any) -> Office:
    """Return an office."""
    made = Office(numbered("of", number), f"Office {number} of Tansy Vale", START)
    return replace(made, **changes)


def credential(number: int = 1, *, token: str = "", **changes: Any) -> Credential:
    """Return a key of office 1, or a link if ``scenario_id`` is given.

    Parameters
    ----------
    number : int
        Of it.
    token : str
        What it is the digest of; without one, of a text that is no token.
    **changes
        Fields that differ from those invented.
    """
    is_link = changes.get("scenario_id") is not None
    own_id = numbered("ln" if is_link else "ky", number)
    made = Credential(
        id=own_id,
        office_id=numbered("of", 1),
        scenario_id=None,
        kind="link" if is_link else "key",
        access="read" if is_link else "admin",
        label=f"laptop {number}",
        digest=PEPPERS.digest(token or own_id),
        pepper=PEPPERS.newest,
        hint=token[:8] or "wfk_7Qk2",
        created_at=START,
        created_by="operator",
        expires_at=START + timedelta(days=90),
    )
    return replace(made, **changes)


def caller(of: Credential | None = None, **changes: Any) -> Caller:
    """Return who shows a key or link."""
    shown = of or credential()
    made = Caller(
        credential_id=shown.id,
        office_id=shown.office_id,
        kind=shown.kind,
        access=shown.access,
        label=shown.label,
        expires_at=shown.expires_at,
        scenario_id=shown.scenario_id,
        request_id="request-1",
    )
    return replace(made, **changes)


def head(number: int = 1, **changes: Any) -> Head:
    """Return the head of a scenario of office 1 at its first revision."""
    made = Head(
        id=numbered("sc", number),
        office_id=numbered("of", 1),
        external_id=None,
        name=f"Winter plan {number}",
        revision=1,
        origin_id=None,
        origin_revision=None,
        created_at=START,
        updated_at=START,
    )
    return replace(made, **changes)


def revision(of: Head | None = None, **changes: Any) -> Revision:
    """Return the revision that a head stands at."""
    owner = of or head()
    document = changes.pop("document", json.dumps({"name": owner.name}, separators=(",", ":")))
    made = Revision(
        scenario_id=owner.id,
        number=owner.revision,
        document_schema=1,
        document_sha256=hashlib.sha256(document.encode()).hexdigest(),
        reference_edition="2026.1",
        made_by="create" if owner.revision == 1 else "put",
        made_from=None,
        author_id=numbered("ky", 1),
        author_label="laptop 1",
        remark=None,
        created_at=owner.updated_at,
        document=document,
    )
    return replace(made, **changes)


def costing(number: int = 1, of: Head | None = None, **changes: Any) -> StoredCosting:
    """Return a stored costing of the revision that a head stands at."""
    owner = of or head()
    made = StoredCosting(
        id=numbered("ct", number),
        scenario_id=owner.id,
        revision=owner.revision,
        engine_version="1.0.0",
        reference_edition="2026.1",
        content_key=hashlib.sha256(f"costing {number}".encode()).hexdigest(),
        best_system="bale grazing",
        annual_equivalent_cost=31_250.5,
        currency="USD",
        created_at=START,
        opened_on=DAY,
        result=b"\x1f\x8b" + bytes(range(256)),
    )
    return replace(made, **changes)


def note(number: int = 1, of: Head | None = None, **changes: Any) -> Note:
    """Return a note on the revision that a head stands at."""
    owner = of or head()
    made = Note(
        id=numbered("nt", number),
        scenario_id=owner.id,
        revision=owner.revision,
        input_path=None,
        body=f"Remark {number}.",
        author_id=numbered("ky", 1),
        author_label="laptop 1",
        created_at=START,
    )
    return replace(made, **changes)


def past_winter(season: str = "2025-26", of: Head | None = None, **changes: Any) -> PastWinter:
    """Return a recorded winter of the revision that a head stands at."""
    owner = of or head()
    made = PastWinter(
        scenario_id=owner.id,
        season=season,
        version=1,
        planned_revision=owner.revision,
        system="rings",
        facts='{"bales_fed":312}',
        author_id=numbered("ky", 1),
        author_label="laptop 1",
        created_at=START,
        updated_at=START,
    )
    return replace(made, **changes)


def weather_record(number: int = 1, **changes: Any) -> StoredWeatherRecord:
    """Return a weather record of office 1."""
    made = StoredWeatherRecord(
        id=numbered("wr", number),
        office_id=numbered("of", 1),
        label=f"Tansy Vale {number}",
        source_format="plain",
        latitude=44.25,
        first_day=date(2015, 1, 1),
        last_day=date(2017, 6, 30),
        missing_days=3,
        sha256=hashlib.sha256(f"record {number}".encode()).hexdigest(),
        classifier="1-aaaa",
        told="[]",
        created_at=START,
        days=gzip.compress(b"date,tmax_c,tmin_c\n2015-01-01,-1.5,-9\n", mtime=0),
    )
    return replace(made, **changes)


def classification(of: StoredWeatherRecord | None = None, **changes: Any) -> Classification:
    """Return the classification that a record names as its newest."""
    owner = of or weather_record()
    made = Classification(owner.id, owner.classifier, '{"drainage":"well"}', "{}", START)
    return replace(made, **changes)


def weather_winter(of: Classification | None = None, **changes: Any) -> WeatherWinter:
    """Return the winter of 2015-16 of a classification."""
    owner = of or classification()
    made = WeatherWinter(owner.record_id, owner.classifier, "2015-16", 60, 40, 31, 20, 2, "{}")
    return replace(made, **changes)


def job(number: int = 1, of: Head | None = None, **changes: Any) -> Job:
    """Return work that waits, for a question on the revision that a head stands at."""
    owner = of or head()
    made = Job(
        id=numbered("an", number),
        office_id=owner.office_id,
        scenario_id=owner.id,
        revision=owner.revision,
        question="risk",
        request='{"draws":10000}',
        request_key=hashlib.sha256(f"request {number}".encode()).hexdigest(),
        engine_version="1.0.0",
        reference_edition="2026.1",
        seed=0,
        state="queued",
        done=0,
        total=8,
        attempts=0,
        worker=None,
        lease_until=None,
        cancel_at=None,
        created_by=numbered("ky", 1),
        created_at=START,
        started_at=None,
        finished_at=None,
        expires_at=START + timedelta(days=400),
    )
    return replace(made, **changes)


def replay(key: str = "request-a", **changes: Any) -> Replay:
    """Return an answer that is being worked on, claimed by key 1."""
    made = Replay(
        credential_id=numbered("ky", 1),
        key=key,
        fingerprint="f" * 64,
        claimed_at=START,
        expires_at=START + timedelta(days=1),
    )
    return replace(made, **changes)


def entry(**changes: Any) -> AuditEntry:
    """Return an entry of the audit of office 1."""
    made = AuditEntry(
        at=START,
        office_id=numbered("of", 1),
        credential_id=numbered("ky", 1),
        action="scenario.create",
        object_id=numbered("sc", 1),
        revision=1,
        request_id="request-1",
    )
    return replace(made, **changes)


def keep(session: Session, *records: Any) -> None:
    """Keep records of any kind, in the order given.

    A head is kept with the first revision of it, a weather record with a winter.
    """
    ways: dict[type, Callable[[Any], object]] = {
        Office: session.offices.add,
        Credential: session.credentials.add,
        Head: lambda one: session.scenarios.add(one, revision(one)),
        StoredCosting: session.costings.add,
        Note: session.notes.add,
        PastWinter: session.past_winters.add,
        StoredWeatherRecord: lambda one: _keep_with_a_winter(session, one),
        Job: session.jobs.add,
        AuditEntry: session.audit.add,
        Replay: lambda one: session.replays.claim(one, START - timedelta(days=1)),
    }
    for record in records:
        ways[type(record)](record)


def _keep_with_a_winter(session: Session, record: StoredWeatherRecord) -> None:
    session.weather_records.add(record)
    counted = classification(record)
    session.weather_records.classify(counted, [weather_winter(counted)])


def furnish(store: Store) -> None:
    """Keep two offices, a key of the first, and a scenario of it."""
    with store.writing() as session:
        keep(session, office(), office(2), credential(), head())


def advanced(of: Head, at: datetime | None = None, **changes: Any) -> Head:
    """Return a head as it stands one revision later."""
    return replace(of, revision=of.revision + 1, updated_at=at or of.updated_at, **changes)
