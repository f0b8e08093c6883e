"""What is said of a winter once it is kept: what was kept, and how it was against the plan."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.costing.errors import InputError
from service.scenarios.desk import Caller, Desk
from service.scenarios.records import PastWinter
from service.scenarios.reviews import review_of
from service.web.pages.wording import said_day
from service.web.pages_winter.form_fields import DAY, SYSTEM, FormField, WinterForm

DAYS_ON_PARTS = "Days on each part"
ONE = "1"


@dataclass(frozen=True, slots=True)
class LookedBack:
    """A winter against its plan in three sentences, or why it cannot be held against it."""

    sentences: Sequence[str] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class KeptFact:
    """One fact as it was kept."""

    label: str
    text: str
    unit: str


@dataclass(frozen=True, slots=True)
class KeptPart:
    """What was kept of one part of the form."""

    title: str
    facts: Sequence[KeptFact]


def what_was_kept(form: WinterForm, texts: Mapping[str, str]) -> list[KeptPart]:
    """Return the facts in the order and the words of the form."""
    way = form.way(texts.get(SYSTEM, ""))
    parts = [KeptPart(DAYS_ON_PARTS, _facts(way.steps, texts))] if way else []
    parts += [KeptPart(one.legend, _facts(one.fields, texts)) for one in form.sections]
    return [part for part in parts if part.facts]


def _facts(fields: Sequence[FormField], texts: Mapping[str, str]) -> list[KeptFact]:
    return [_fact(asked, texts[asked.name]) for asked in fields if asked.name in texts]


def _fact(asked: FormField, text: str) -> KeptFact:
    unit = asked.unit.removesuffix("s") if text == ONE else asked.unit
    if asked.kind == DAY and asked.is_day(text):
        on = date.fromisoformat(text)
        return KeptFact(asked.label, f"{said_day(on)} {on.year}", unit)
    return KeptFact(asked.label, asked.chosen(text), unit)


def looked_back(desk: Desk, caller: Caller, kept: PastWinter) -> LookedBack:
    """Return how a winter was against its plan."""
    try:
        found = review_of(desk, caller, kept.scenario_id, kept.season)
    except InputError as error:
        return LookedBack(trouble=error.faults[0].detail)
    return LookedBack(found.review.sentences)
