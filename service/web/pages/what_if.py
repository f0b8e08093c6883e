"""What-ifs on the page: a few inputs in a form, costed without saving."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request

from service.costing.errors import InputError
from service.costing.overrides import MOST_SETTINGS
from service.web.costing_parameters import SETTING
from service.web.pages.hay_price import PATHS
from service.web.pages.wording import title_of
from service.web.problems import ProblemError
from service.web.query_settings import costing_query

Document = Mapping[str, Any]

COST_SHARE = "cost_share"
CAP = f".{COST_SHARE}.cap"
NONE_PAID = "none"
MOST_HEAD = 20_000
MOST_TOLD = 10


@dataclass(frozen=True, slots=True)
class WhatIfField:
    """An input that can be changed on the page."""

    path: str
    label: str
    kept: str
    """As the farm is kept."""
    text: str
    """As it stands in the form."""
    unit: str
    most: int

    @property
    def name(self) -> str:
        """Name of the parameter."""
        return f"{SETTING}{self.path}"


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The form, and what is different from the farm as it is kept."""

    fields: Sequence[WhatIfField]
    asks_cost_share: bool
    """Whether any system counts on cost-share."""
    none_paid: bool = False
    settings: Mapping[str, Any] = field(default_factory=dict[str, Any])
    faults: Sequence[str] = ()

    @property
    def told(self) -> list[str]:
        """What is different, in words."""
        by_path = {one.path: one for one in self.fields}
        said = [
            f"{one.label} {one.text} {one.unit} instead of {one.kept}"
            for path in self.settings
            if (one := by_path.get(path))
        ]
        others = {
            path: value
            for path, value in self.settings.items()
            if path not in by_path and not (self.none_paid and path.endswith(CAP))
        }
        none_paid = ["no cost-share is ever paid"] if self.none_paid else []
        return [*said, *changed_in_words(others), *none_paid]

    def with_faults(self, error: InputError) -> "WhatIf":
        """Return the same with what is wrong with it, and nothing changed."""
        faults = [fault.detail for fault in error.faults[:MOST_TOLD]]
        return replace(self, faults=faults, settings={}, none_paid=False)


def what_if_of(request: Request, kept: Document) -> WhatIf:
    """Read which inputs a page is to be costed with; what is as it is kept is no change.

    Parameters
    ----------
    request : Request
        Its parameters ``set.<path>`` and ``cost_share``; others are another's.
    kept : mapping
        The costing of the farm as it is kept.
    """
    asked = [(name, text.strip()) for name, text in request.query_params.multi_items()]
    texts = dict(asked)
    caps = cost_share_caps(kept)
    fields = [
        replace(one, text=texts.get(one.name) or one.kept) for one in _fields(kept["inputs_used"])
    ]
    same = {one.name for one in fields if _is_same(one.text, one.kept)}
    changed = [
        (name, text)
        for name, text in asked
        if name.startswith(SETTING) and text and name not in same
    ]
    none_paid = bool(caps) and texts.get(COST_SHARE) == NONE_PAID
    found = WhatIf(fields, bool(caps), none_paid)
    scope = {**request.scope, "query_string": urlencode(changed).encode()}
    try:
        settings = costing_query(Request(scope)).settings
    except ProblemError as error:
        faults = [str(fault["detail"]) for fault in error.errors[:MOST_TOLD]]
        return replace(found, faults=faults, none_paid=False)
    return replace(found, settings=settings | (caps if none_paid else {}))


def changed_in_words(settings: Mapping[str, Any]) -> list[str]:
    """Return inputs that are changed, by their paths; of many only the first."""
    said = [
        f"{path} {'as by default' if value is None else value}" for path, value in settings.items()
    ]
    more = len(said) - MOST_TOLD
    return [*said[:MOST_TOLD], f"{more} more"] if more > 0 else said


def cost_share_caps(kept: Document) -> dict[str, int]:
    """Return the settings that leave out all cost-share; none where there is none, or too much."""
    caps = {
        f"systems.{key}.structures.{name}{CAP}": 0
        for key, system in kept["inputs_used"]["systems"].items()
        for name, structure in system.get("structures", {}).items()
        if structure.get(COST_SHARE)
    }
    return caps if len(caps) < MOST_SETTINGS - len(PATHS) - 1 else {}


def _fields(inputs: Document) -> Iterator[WhatIfField]:
    currency = inputs["currency"]
    hay = inputs["hay"]
    for path in PATHS:
        name = path.rpartition(".")[2]
        if hay.get(name) is not None:
            kept = f"{hay[name]:.10g}"
            unit = f"{currency} a {name.rpartition('_')[2]}"
            yield WhatIfField(path, "Hay price", kept, kept, unit, 5000)
            break
    wage = f"{inputs['prices']['labor_per_hour']:.10g}"
    yield WhatIfField("prices.labor_per_hour", "Wage", wage, wage, f"{currency} an hour", 500)
    herd = inputs["herd"]
    group = max(herd, key=lambda key: herd[key]["head"] * herd[key].get("body_weight_lb", 1))
    head = f"{herd[group]['head']:.10g}"
    yield WhatIfField(f"herd.{group}.head", title_of(herd, group), head, head, "head", MOST_HEAD)


def _is_same(text: str, kept: str) -> bool:
    try:
        return float(text) == float(kept)
    except ValueError:
        return False
