"""What can go wrong between a caller and what is kept."""

from collections.abc import Callable, Iterable, Sequence

from service.costing.errors import Fault, InputError
from service.season.facts import WinterFacts


class UnknownTokenError(Exception):
    """The token opens nothing: never made, revoked or expired."""

    def __init__(self, said: str = "It was revoked, has expired, or was never made.") -> None:
        super().__init__(said)


class MistypedTokenError(UnknownTokenError):
    """The token does not add up: mistyped or cut off. Known without asking the store."""

    def __init__(self) -> None:
        super().__init__("It is mistyped or cut off.")


class TooLittleAccessError(Exception):
    """The token is good, but not for this."""

    def __init__(self, needed: str) -> None:
        self.needed = needed
        super().__init__(f"This needs {needed}.")


class UnknownScenarioError(LookupError):
    """No scenario of that id that the caller may see."""


class UnknownPartError(LookupError):
    """The scenario has no such revision, costing, link or note."""

    def __init__(self, detail: str) -> None:
        self.detail = detail
        super().__init__(detail)


class BinnedError(Exception):
    """The scenario lies in the bin."""


class NotBinnedError(Exception):
    """The scenario does not lie in the bin."""


class ExternalIdTakenError(Exception):
    """Another scenario of the office has the external id."""

    def __init__(self, scenario_id: str, *, binned: bool) -> None:
        self.scenario_id = scenario_id
        self.binned = binned
        super().__init__(scenario_id)


class StaleRevisionError(Exception):
    """The scenario was changed since the caller read it."""

    def __init__(self, current: int, differing: Sequence[str]) -> None:
        self.current = current
        """The newest revision."""
        self.differing = differing
        """Paths of the inputs that differ between what the caller read and what stands now."""
        super().__init__(f"revision {current} stands")


class FaultyFactsError(InputError):
    """Some facts of a winter cannot be so; the others can still be held against each other."""

    def __init__(
        self, faults: Iterable[Fault], others: WinterFacts, trusts: Callable[[Fault], bool]
    ) -> None:
        self.others = others
        """The facts without those at fault."""
        self.trusts = trusts
        """Whether a fault between facts can be told in spite of those at fault."""
        super().__init__(faults)


class StaleWinterError(Exception):
    """The winter was recorded or changed since the caller read it, or is not recorded at all."""

    def __init__(
        self, season: str, current: int | None, differing: Sequence[tuple[str, object, object]] = ()
    ) -> None:
        self.season = season
        self.current = current
        """The version that stands; None if there is none."""
        self.differing = differing
        """Paths of the facts that differ, what stands and what was sent; None for nothing."""
        super().__init__(f"version {current} of winter {season} stands")


class UnreadWinterError(Exception):
    """The winter is recorded already, and the caller does not say which version it has read."""

    def __init__(self, season: str, current: int) -> None:
        self.season = season
        self.current = current
        super().__init__(f"version {current} of winter {season} stands")


class TooManyWintersError(Exception):
    """The scenario has as many winters as it can have."""


class LastAdminKeyError(Exception):
    """The key is the office's last that may manage keys."""


class TooManyLinksError(Exception):
    """The scenario has as many live links as it can have."""


class KeyInFlightError(Exception):
    """A request with the same Idempotency-Key is being worked on."""


class KeyReusedError(Exception):
    """The Idempotency-Key was sent before with another request."""


class SecretShownError(Exception):
    """The answer to the first request held a token, which is shown once and not kept."""

    def __init__(self, object_id: str) -> None:
        self.object_id = object_id
        super().__init__(object_id)


class RecordInUseError(Exception):
    """Scenarios use the weather record."""

    def __init__(self, scenarios: Sequence[str]) -> None:
        self.scenarios = scenarios
        """Ids of some of them."""
        super().__init__(f"It is used by {len(scenarios)} or more scenarios.")


class UnknownWeatherRecordError(LookupError):
    """No weather record of that id that the caller may see."""


class JobEndedError(Exception):
    """The work has ended already, so that there is nothing to cancel."""

    def __init__(self, state: str) -> None:
        self.state = state
        super().__init__(f"It is {state}.")


class UnknownSweepError(LookupError):
    """No sweep of that id that the caller may see."""


class SweepEndedError(JobEndedError):
    """The sweep has ended already, so that there is nothing to cancel."""


class TooManyJobsError(Exception):
    """The office has as much work waiting as it can have."""


class StoreBusyError(Exception):
    """The store does not answer just now, or is busy; what was asked may be asked again."""


class StoreFullError(StoreBusyError):
    """There is no room left to keep more; what is kept can still be read."""
