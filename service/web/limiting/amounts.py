"""How much may be spent, and where it is counted."""

from collections.abc import Callable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Amounts:
    """What may be spent in a minute, in units."""

    by_credential: int = 60_000
    """By a key or a link."""
    by_address: int = 20_000
    """By whoever comes from an address and shows neither."""
    storage: str | None = field(default=None, repr=False)
    """Address of a storage that processes share; without it each counts for itself."""
    clock: Callable[[], float] | None = None
    """By which a process counts [s]; one that only goes forward if not given."""
