"""Headers of requests in the description of the interface: which operation takes which."""

from collections.abc import Iterator
from typing import Any

from service.web.bodies import IDEMPOTENCY_KEY
from service.web.preconditions import IF_MATCH, IF_NONE_MATCH
from service.web.waiting import PREFER

Schema = dict[str, Any]

STORING = frozenset(
    {
        "create_scenario",
        "copy_scenario",
        "restore_revision",
        "create_link",
        "add_note",
        "create_key",
        "add_weather_record",
        "ask_question",
        "start_sweep",
    }
)
CHANGING = frozenset({"replace_scenario", "change_scenario", "bin_scenario", "restore_revision"})
REVALIDATED = frozenset(
    {
        "get_scenario",
        "get_costing",
        "get_stored_costing",
        "get_chart",
        "get_plan",
        "get_review",
        "get_own_figures",
        "get_site",
        "get_winter",
        "get_trust_page",
        "get_trust_text",
        "get_trust_records",
    }
)
RECORDING = frozenset({"record_winter"})
ASKING = frozenset({"ask_question"})
HEADERS: tuple[tuple[str, frozenset[str], bool, str], ...] = (
    (IF_MATCH, CHANGING, True, "ETag of the revision that was read; * for whatever stands."),
    (IF_MATCH, RECORDING, False, "ETag of the version that was read; needed where one stands."),
    (IF_NONE_MATCH, REVALIDATED, False, "ETag of what the caller has."),
    (IF_NONE_MATCH, RECORDING, False, "* to change nothing that stands."),
    (PREFER, ASKING, False, "wait=n: the seconds to wait for the answer, at most 20 (RFC 7240)."),
    (IDEMPOTENCY_KEY, STORING, False, "Up to 255 visible characters, new for each new request."),
)
"""Headers of requests: which operations take it, whether they need it, what it is."""

LONGEST_KEY = 255


def headers_of(operation: str) -> Iterator[Schema]:
    """Yield the headers that an operation takes, as parameters."""
    for header, takers, needed, meaning in HEADERS:
        if operation in takers:
            longest = {"maxLength": LONGEST_KEY} if header == IDEMPOTENCY_KEY else {}
            yield {
                "name": header,
                "in": "header",
                "required": needed,
                "description": meaning,
                "schema": {"type": "string", "title": header, **longest},
            }
