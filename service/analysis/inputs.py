"""What is known of each input of a scenario: its value, what it may be, and whether it is read."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeGuard

from service.analysis.draws import with_systems
from service.analysis.inputs_read import ReadingCase
from service.analysis.subject import Subject
from service.costing.document import inputs_used
from service.costing.engine import Costing, worked
from service.costing.entry import KEY
from service.costing.input_catalog import Input, inputs
from service.costing.input_paths import item_names, joined
from service.costing.input_tree import NUMBER
from service.costing.json_shapes import is_array, is_object
from service.costing.margin import earned_before_winter, has_herd_change
from service.costing.overrides import ASSUMPTIONS
from service.costing.reference.keys import template_of

PLACEHOLDER = re.compile(r"<([a-z]+)>")
FREE = {"season", "key"}
"""What stands for names that may hold dots."""


@dataclass(frozen=True, slots=True)
class Allowed:
    """What one input may be."""

    pattern: str
    """Its path in the catalogue of inputs."""
    meaning: str
    unit: str
    minimum: float | None
    maximum: float | None
    whole: bool
    is_number: bool

    def clipped(self, value: float) -> float:
        """Return a value, or the nearest that is allowed."""
        if self.minimum is not None:
            value = max(value, self.minimum)
        return value if self.maximum is None else min(value, self.maximum)

    @property
    def in_words(self) -> str:
        """The range in words."""
        parts = [
            f"{word} {limit:,.10g}"
            for word, limit in (("at least", self.minimum), ("at most", self.maximum))
            if limit is not None
        ]
        return ", ".join([*parts, "a whole number"] if self.whole else parts)


@dataclass(frozen=True)
class Known:
    """A scenario costed as it stands, with all its inputs."""

    costing: Costing
    document: dict[str, Any]
    """The complete document, defaults written out."""
    values: Mapping[str, Any]
    """The value of each input, by path."""
    read: frozenset[str]
    """Paths of what the costing asked for by path."""


def known_of(subject: Subject, systems: Sequence[str] | None = None) -> Known:
    """Return a scenario costed as it stands, with all its inputs.

    Parameters
    ----------
    subject : Subject
        Its scenario can be costed as it stands.
    systems : sequence of str, optional
        Which systems, the baseline with them; all if not given.
    """
    scenario = subject.scenario
    case = ReadingCase(scenario if systems is None else with_systems(scenario, systems))
    costing = worked(case)
    if has_herd_change(costing):  # what is earned is read only where it is asked for
        for key in costing.systems:
            earned_before_winter(costing, key)
    document = inputs_used(case)
    return Known(costing, document, dict(values_of(document)), frozenset(case.read))


def values_of(document: Any, path: str = "") -> Iterator[tuple[str, Any]]:  # noqa: ANN401 - JSON
    """Return path and value of every input of a document."""
    if is_object(document):
        for name, member in document.items():
            yield from values_of(member, joined((path, str(name))))
    elif is_array(document) and any(is_object(item) for item in document):
        names = item_names(path.rpartition(".")[2], document)
        for name, member in zip(names, document, strict=True):
            yield from values_of(member, joined((path, name)))
    else:
        yield path, document


def is_number(value: object) -> TypeGuard[float]:
    """Whether a value of a document is a number."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def allowed_at(path: str, values: Mapping[str, Any]) -> Allowed | None:
    """Return what an input may be; None where there is no such input.

    Parameters
    ----------
    path : str
        Of one input of the scenario.
    values : mapping
        The value of each input of the scenario, which tell methods and kinds.
    """
    place, _, key = path.partition(".")
    if place == ASSUMPTIONS:
        return _of_reference(path, key)
    found = [item for pattern, item in _patterns() if pattern.fullmatch(path)]
    if len(found) > 1:
        inside = path.rpartition(".")[0]
        word = values.get(f"{inside}.method", values.get(f"{inside}.kind"))
        found = [item for item in found if not item.applies_to or word in item.applies_to]
    return _of_input(found[0]) if found else None


def _of_reference(path: str, key: str) -> Allowed | None:
    template = template_of(key)
    if template is None:
        return None
    return Allowed(
        pattern=path,
        meaning=template.meaning,
        unit=template.unit,
        minimum=template.minimum,
        maximum=template.maximum,
        whole=template.whole,
        is_number=template.words is None,
    )


def _of_input(item: Input) -> Allowed:
    return Allowed(
        pattern=item.path,
        meaning=item.meaning,
        unit=item.unit,
        minimum=item.minimum if item.exclusive_minimum is None else item.exclusive_minimum,
        maximum=item.maximum if item.exclusive_maximum is None else item.exclusive_maximum,
        whole=item.whole,
        is_number=item.sort == NUMBER,
    )


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], Input], ...]:
    return tuple((_pattern(item.path), item) for item in inputs())


def _pattern(path: str) -> re.Pattern[str]:
    """Return the expression for the paths that a path of the catalogue stands for."""
    parts = PLACEHOLDER.split(path)
    expression = re.escape(parts[0])
    for name, text in zip(parts[1::2], parts[2::2], strict=True):
        expression += ".+" if name in FREE else f"({KEY.strip('^$')})"
        expression += re.escape(text)
    return re.compile(expression)
