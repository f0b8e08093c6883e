"""A form as it was sent: what was typed, with nothing that may not be shown again."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from urllib.parse import parse_qsl
from uuid import uuid4

from service.costing.errors import Fault, nearest
from service.quick_start.answers import ROOT
from service.scenarios.tokens import masked
from service.web.pages_start.form_fields import TICKED, form_fields

LARGEST_FORM = 65_536
"""Most bytes of a form: ten times of what ten answers take."""

MOST_MEMBERS = 200
LONGEST_TEXT = 200
"""More characters than that of one answer are not kept; the form lets nobody type as many."""

FARM, KEY, SHEET, AGAIN = "farm", "key", "sheet", "again"
BESIDE = frozenset({FARM, KEY, SHEET, AGAIN})
"""What a form holds beside answers: the farm's name, a key or link, the sheet's own number, and
whether it is only to be shown again."""

MOST_UNKNOWN = 10
LONGEST_SHEET = 40


class UnreadableFormError(ValueError):
    """The form is too large, or holds more than the questions ask."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A form as it was sent."""

    texts: Mapping[str, str]
    """What was typed, by the name of its field; nothing that is empty."""
    farm: str = ""
    token: str = field(default="", repr=False)
    number: str = ""
    """The same for the same sheet, however often it is sent."""
    again: bool = False
    """Whether the answers are to be changed first."""
    unknown: tuple[str, ...] = ()

    @property
    def content(self) -> str:
        """A hash of all that would be kept, and of the sheet it stands on."""
        said = [self.number, self.farm, *(f"{name}={self.texts[name]}" for name in self.texts)]
        return sha256("\n".join(said).encode()).hexdigest()

    def every_text(self) -> dict[str, str]:
        """Return the text of each field, so that the second field stays so if the first is open."""
        return {name: self.texts.get(name, "") for name in form_fields()}

    def faults(self) -> list[Fault]:
        """Return what has no place on the form."""
        return [_no_field(name) for name in self.unknown]


def empty_sheet() -> Sheet:
    """Return a sheet that nothing stands on."""
    return Sheet({}, number=uuid4().hex)


def sent_sheet(body: bytes) -> Sheet:
    """Read the body of a form (application/x-www-form-urlencoded).

    Tokens are cut out of everything but the field that is for one: what was typed is shown again,
    and may be kept.

    Raises
    ------
    UnreadableFormError
        If it is too large.
    """
    if len(body) > LARGEST_FORM:
        message = f"The form may have at most {LARGEST_FORM:,} bytes."
        raise UnreadableFormError(message)
    text = body.decode("utf-8", "replace")
    try:
        pairs = parse_qsl(
            text, keep_blank_values=True, errors="replace", max_num_fields=MOST_MEMBERS
        )
    except ValueError:
        message = f"The form may hold at most {MOST_MEMBERS} answers."
        raise UnreadableFormError(message) from None
    known = form_fields()
    found: dict[str, list[str]] = {}
    for name, value in pairs:
        found.setdefault(name, []).append(value)
    beside = {name: found[name][-1] for name in BESIDE if name in found}
    number = beside.get(SHEET, "")
    lawful = number.isalnum() and number.isascii() and len(number) <= LONGEST_SHEET
    return Sheet(
        texts={
            name: text
            for name in known
            if name in found and (text := _typed(known[name].widget, found[name])).strip()
        },
        farm=_shown(beside.get(FARM, "").strip()),
        token=beside.get(KEY, "").strip(),
        number=_shown(number) if lawful else uuid4().hex,
        again=AGAIN in beside,
        unknown=tuple(name for name in found if name not in known and name not in BESIDE),
    )


def placed(faults: Iterable[Fault]) -> tuple[dict[str, list[str]], list[str]]:
    """Return faults by the field or question that they are about, and those that are about none."""
    fields = form_fields()
    questions = {name.partition(".")[0] for name in fields}
    by_name: dict[str, list[str]] = {}
    others: list[str] = []
    for fault in faults:
        path = fault.input.removeprefix(f"{ROOT}.")
        known = path if path in fields or path in BESIDE else path.partition(".")[0]
        if known in fields or known in BESIDE or known in questions:
            by_name.setdefault(known, []).append(masked(fault.detail))
        else:
            others.append(masked(fault.detail))
    return by_name, others


def _typed(widget: str, values: list[str]) -> str:
    return _shown(",".join(values) if widget == TICKED else values[-1])


def _shown(text: str) -> str:
    return masked(text[:LONGEST_TEXT])


def _no_field(name: str) -> Fault:
    shown = _shown(name)
    near = nearest(shown, list(form_fields()))
    hint = f"; did you mean {near}?" if near else "."
    return Fault(shown, f"There is no field {shown!r} on the form{hint}", suggestion=near)
