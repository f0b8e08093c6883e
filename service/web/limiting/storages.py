"""Where buckets are counted: in the memory of the process, or in a storage that several share."""

import time

from limits.errors import ConfigurationError
from limits.storage import SlidingWindowCounterSupport, Storage, storage_from_string

from service.settings import PREFIX
from service.store.errors import OperatorError
from service.web.limiting.amounts import Amounts
from service.web.limiting.buckets import SECONDS, Buckets
from service.web.limiting.counters import WindowCounters

CREDENTIALS, ADDRESSES = "credential", "address"
REFUSED = f"Limits cannot be counted: what {PREFIX}LIMITS_STORAGE names"
"""Nothing of the address is repeated: its password may stand anywhere in one that is wrong."""


class LimitsStorageError(OperatorError):
    """The storage that limits are to be counted in cannot be used."""


def buckets_of(amounts: Amounts) -> tuple[Buckets, Buckets]:
    """Return the buckets of keys and links, and those of addresses.

    In memory each has counters of its own: however many addresses come, they do not crowd out
    those who have a key. Each process counts for itself there, so n of them allow n times as much.

    Raises
    ------
    LimitsStorageError
        If the storage is none of the library's, its client is not installed, or it cannot count a
        moving window.
    """
    sizes = ((CREDENTIALS, amounts.by_credential), (ADDRESSES, amounts.by_address))
    if amounts.storage is None:
        clock = amounts.clock or time.monotonic
        first, second = (
            Buckets(WindowCounters(SECONDS, clock), name, amount, clock) for name, amount in sizes
        )
    else:
        storage = _shared(amounts.storage)
        first, second = (Buckets(storage, name, amount) for name, amount in sizes)
    return first, second


def _shared(address: str) -> Storage:
    try:
        storage = storage_from_string(address)
    except ConfigurationError:
        message = f"{REFUSED} is no storage of the library limits, or its client is not installed."
        raise LimitsStorageError(message) from None
    if not isinstance(storage, Storage) or not isinstance(storage, SlidingWindowCounterSupport):
        message = f"{REFUSED} counts no moving window."
        raise LimitsStorageError(message)
    return storage
