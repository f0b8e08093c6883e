"""One transaction and what can be reached in it."""

from sqlalchemy import Connection

from service.store.audit import AuditRows
from service.store.costings import CostingRows
from service.store.credentials import CredentialRows
from service.store.erasures import ErasureRows
from service.store.jobs import JobRows
from service.store.notes import NoteRows
from service.store.offices import OfficeRows
from service.store.past_winters import PastWinterRows
from service.store.replays import ReplayRows
from service.store.scenarios import ScenarioRows
from service.store.sweeps import SweepRows
from service.store.weather_records import WeatherRecordRows


class SqlSession:
    """One transaction on a connection that is held."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    @property
    def offices(self) -> OfficeRows:
        """Offices by id and by name."""
        return OfficeRows(self._connection)

    @property
    def credentials(self) -> CredentialRows:
        """Keys and links."""
        return CredentialRows(self._connection)

    @property
    def scenarios(self) -> ScenarioRows:
        """Scenarios and their revisions."""
        return ScenarioRows(self._connection)

    @property
    def costings(self) -> CostingRows:
        """Stored costings."""
        return CostingRows(self._connection)

    @property
    def notes(self) -> NoteRows:
        """Remarks."""
        return NoteRows(self._connection)

    @property
    def past_winters(self) -> PastWinterRows:
        """Winters as they were."""
        return PastWinterRows(self._connection)

    @property
    def weather_records(self) -> WeatherRecordRows:
        """Records of daily weather and their winters."""
        return WeatherRecordRows(self._connection)

    @property
    def jobs(self) -> JobRows:
        """Work that is done in parts."""
        return JobRows(self._connection)

    @property
    def sweeps(self) -> SweepRows:
        """Sweeps and their chunks."""
        return SweepRows(self._connection)

    @property
    def audit(self) -> AuditRows:
        """Who did what."""
        return AuditRows(self._connection)

    @property
    def replays(self) -> ReplayRows:
        """Answers to requests that may be sent again."""
        return ReplayRows(self._connection)

    @property
    def erasures(self) -> ErasureRows:
        """A copy of the journal."""
        return ErasureRows(self._connection)
