"""A plan as an iCalendar file (RFC 5545, RFC 7986) that a phone can subscribe to.

METHOD is left out: with PUBLISH each event would need an organizer (RFC 5546, section 3.2.1), and
a plan has none. Alarms are left out too: whoever subscribes sets their own.
"""

import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from service.costing.cautions import DISCLAIMER
from service.season.plan.calendar_words import Entry, entries_of
from service.season.plan.records import Plan

if TYPE_CHECKING:
    from icalendar import Calendar, Component, Event

ADDRESS = re.compile(r"https?://[!-~]+")
SECRET = re.compile(r"[0-9A-Za-z]{32}")
"""As long as no id is: a token."""
PRODUCT = "-//Winterground//Winter feeding plan//EN"
VERSION = "2.0"
REFRESHED_EVERY = timedelta(days=1)
NOT_TEXT = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
"""All that TEXT may not hold, or that some reader takes for the end of a line."""


def calendar_of(plan: Plan, *, uid: str, stamp: datetime, url: str | None = None) -> bytes:
    """Return a plan as a calendar; the same arguments give the same bytes.

    Parameters
    ----------
    plan : Plan
        What is put into the calendar: tasks, and the bales that should be left on some days.
    uid : str
        What the plan is of, the same for every version of it: with it a phone finds an event
        again and moves it, in the place of a second one.
    stamp : datetime
        When the plan was last changed, with its time zone.
    url : str or None
        Address of the plan, for people. It is shown to whoever sees the calendar, so it must hold
        no token.

    Raises
    ------
    ValueError
        If the address is none of the web, or could hold a token: in a query, a fragment, a name
        before the host, or a long run of letters and digits. If the time has no zone.
    """
    if stamp.tzinfo is None:
        message = "the time of the last change needs a time zone"
        raise ValueError(message)
    if url is not None:
        _refuse_secrets(url)
    when = stamp.astimezone(UTC).replace(microsecond=0)
    calendar = _head(plan, uid, when)
    for entry in entries_of(plan):
        calendar.add_component(_event(entry, f"{entry.key}.{plan.season.name}.{uid}", when, url))
    return calendar.to_ical()


def _refuse_secrets(url: str) -> None:
    parts = urlsplit(url)
    if (
        ADDRESS.fullmatch(url) is None
        or parts.query
        or parts.fragment
        or "@" in parts.netloc
        or SECRET.search(url) is not None
    ):
        message = "the address of a plan is one of the web, without query, name or token"
        raise ValueError(message)


def _head(plan: Plan, uid: str, when: datetime) -> "Calendar":
    from icalendar import Calendar, vDuration, vText  # noqa: PLC0415 - only who asks for it waits

    # The library escapes no text of a property that it does not know.
    name, remark = vText(clean(f"{plan.title}, winter {plan.season.name}")), vText(DISCLAIMER)
    calendar = Calendar()
    _put(
        calendar,
        {
            "prodid": PRODUCT,
            "version": VERSION,
            "uid": clean(f"{plan.season.name}.{uid}"),
            "last-modified": when,
            "name": name,
            "x-wr-calname": name,
            "description": remark,
            "x-wr-caldesc": remark,
            "x-published-ttl": vDuration(REFRESHED_EVERY),
        },
    )
    _put(calendar, {"refresh-interval": vDuration(REFRESHED_EVERY)}, VALUE="DURATION")
    return calendar


def _event(entry: Entry, uid: str, when: datetime, url: str | None) -> "Event":
    from icalendar import Event  # noqa: PLC0415 - only who asks for it waits

    event = Event()
    _put(
        event,
        {
            "uid": clean(uid),
            "dtstamp": when,
            "last-modified": when,
            "sequence": 0,
            "dtstart": entry.day,
            "dtend": entry.last_day + timedelta(days=1),
            "transp": "TRANSPARENT",
            "summary": clean(entry.title),
            "description": clean(entry.text, between="\n"),
            "categories": [entry.part],
        },
    )
    if url is not None:
        _put(event, {"url": url})
    return event


def _put(component: "Component", properties: dict[str, object], **parameters: str) -> None:
    for name, value in properties.items():
        component.add(name, value, dict(parameters))  # pyright: ignore[reportUnknownMemberType]


def clean(text: str, between: str = " ") -> str:
    """Return text without control characters; lines are joined by a blank, or as said."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return between.join(NOT_TEXT.sub(" ", line) for line in lines)
