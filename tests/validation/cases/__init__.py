"""The cases, one module each; ``CASES`` is all of them in the order of the page."""

from collections.abc import Callable

from service.trust.records import Case
from tests.validation.cases import v02_nitrogen_on_stockpile

CASES: dict[str, Callable[[], Case]] = {
    "V02": v02_nitrogen_on_stockpile.case,
}
"""Each makes its case anew, by sending its documents to the service."""
