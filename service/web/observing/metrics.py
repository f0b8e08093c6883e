"""Figures of operation, kept by OpenTelemetry and read in the text form of Prometheus.

They are read at an address of their own, which is off unless the operator sets it: who may see how
busy an installation is, is the operator's affair and no office's. No figure is told apart by
anything that a caller sends: routes go by their template, methods and statuses are few.
"""

from collections.abc import Callable, Iterable
from importlib.util import find_spec
from typing import TYPE_CHECKING

from service.costing.tally import ENGINE_RUNS
from service.scenarios.desk import Desk
from service.scenarios.errors import StoreBusyError
from service.scenarios.events import JOB_EVENTS, STORE_BUSY
from service.store.errors import OperatorError
from service.web.observing.request_log import InFlight

if TYPE_CHECKING:
    from opentelemetry.metrics import CallbackOptions, Observation

NEEDED = ("opentelemetry.sdk", "opentelemetry.exporter.prometheus", "prometheus_client")

SECONDS = (0.005, 0.01, 0.025, 0.05, 0.075, 0.1, 0.25, 0.5, 0.75, 1, 2.5, 5, 7.5, 10)
"""Bounds of the histogram of durations (OpenTelemetry semantic conventions, HTTP metrics)."""

UNROUTED = "none"
"""Stands for the template of a request that no route took, and the class of one cut off."""

STATES = ("queued", "running")
SORTS = ("done", "failed", "cancelled", "handed_back")


class NoMetricsError(OperatorError):
    """Figures of operation are asked for, and cannot be given."""


def refuse_without_extra() -> None:
    """Refuse to go on where the libraries are not installed.

    Raises
    ------
    NoMetricsError
        If one is missing.
    """
    if not all(_is_there(name) for name in NEEDED):
        message = (
            "WINTERGROUND_METRICS is set, but what it needs is not installed. Install winterground "
            "with the extra metrics: pip install 'winterground[metrics]'. Or leave it unset."
        )
        raise NoMetricsError(message)


def _is_there(module: str) -> bool:
    try:
        return find_spec(module) is not None
    except ModuleNotFoundError:
        return False


class Meters:
    """The figures of one process."""

    def __init__(self, in_flight: InFlight, desk: Desk | None) -> None:
        """Make the figures.

        Parameters
        ----------
        in_flight : InFlight
            Counts the requests that are being answered.
        desk : Desk, optional
            Where jobs wait.

        Raises
        ------
        NoMetricsError
            If the libraries are not installed.
        """
        refuse_without_extra()
        from opentelemetry.exporter.prometheus import (  # noqa: PLC0415 - an extra
            PrometheusMetricReader,
        )
        from opentelemetry.metrics import Observation  # noqa: PLC0415 - an extra
        from opentelemetry.sdk.metrics import MeterProvider  # noqa: PLC0415 - an extra
        from prometheus_client import CollectorRegistry, ProcessCollector  # noqa: PLC0415 - an extra

        self.registry: CollectorRegistry = CollectorRegistry()
        ProcessCollector(registry=self.registry)
        reader = PrometheusMetricReader(
            disable_target_info=True, scope_info_enabled=False, registry=self.registry
        )
        self._provider = MeterProvider(metric_readers=[reader], shutdown_on_exit=False)
        meter = self._provider.get_meter("winterground")
        self._desk = desk
        self._observation = Observation
        self._duration = meter.create_histogram(
            "http.server.request.duration",
            unit="s",
            description="Time to answer requests; its count is that of the requests.",
            explicit_bucket_boundaries_advisory=SECONDS,
        )
        meter.create_observable_up_down_counter(
            "http.server.active_requests",
            [self._one(lambda: in_flight.count)],
            unit="{request}",
            description="Requests being answered.",
        )
        meter.create_observable_counter(
            "winterground.engine.runs",
            [self._one(ENGINE_RUNS.of)],
            unit="{run}",
            description="Costings worked by this process.",
        )
        meter.create_observable_counter(
            "winterground.database.busy",
            [self._one(STORE_BUSY.of)],
            unit="{refusal}",
            description="Times that the database did not answer, or others wrote for too long.",
        )
        meter.create_observable_counter(
            "winterground.jobs.ended",
            [self._jobs_ended],
            unit="{job}",
            description="Jobs that this process ended or handed back.",
        )
        meter.create_observable_gauge(
            "winterground.jobs",
            [self._jobs_open],
            unit="{job}",
            description="Jobs in the database that wait or are worked on, by any process.",
        )

    def answered(self, method: str, route: str | None, status: int | None, seconds: float) -> None:
        """Count a request."""
        about = {
            "http.request.method": method,
            "http.route": route or UNROUTED,
            "http.response.status_class": UNROUTED if status is None else f"{status // 100}xx",
        }
        self._duration.record(seconds, about)

    def text(self) -> bytes:
        """Return all figures as they stand."""
        from prometheus_client import generate_latest  # noqa: PLC0415 - an extra

        return generate_latest(self.registry)

    def close(self) -> None:
        """Let go of what keeps the figures."""
        self._provider.shutdown()

    def _one(self, count: Callable[[], int]) -> Callable[..., Iterable["Observation"]]:
        def observed(options: "CallbackOptions") -> Iterable["Observation"]:
            del options
            return [self._observation(count())]

        return observed

    def _jobs_ended(self, options: "CallbackOptions") -> Iterable["Observation"]:
        del options
        return [self._observation(JOB_EVENTS.of(sort), {"how": sort}) for sort in SORTS]

    def _jobs_open(self, options: "CallbackOptions") -> Iterable["Observation"]:
        """Count what is open; while the database does not answer there is no such figure."""
        del options
        if self._desk is None:
            return []
        try:
            with self._desk.store.reading() as session:
                standing = session.jobs.open_by_state()
        except StoreBusyError:
            return []
        return [self._observation(standing.get(state, 0), {"state": state}) for state in STATES]
