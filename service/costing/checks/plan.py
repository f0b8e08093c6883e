"""Faults of the steps of a plan: animals, ground, feed, and grass that is shut."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import choice, exact, some_of
from service.costing.checks.question import Question, Site
from service.costing.checks.resting import resting_faults
from service.costing.errors import Fault
from service.costing.formulas.stages import days_between
from service.costing.methods import METHODS, Step
from service.costing.places import states_of

LONGEST_SHUT = 250
"""Days of growth after which the dates of closing and dormancy are taken for swapped."""

SLACK = 1e-9
"""Relative; acres that are the whole field are not more than the field."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """A step with what it may refer to."""

    question: Question
    site: Site
    path: str
    step: Step

    @property
    def groups(self) -> list[str]:
        """The groups that the step names, else the whole herd."""
        herd = list(self.question.scenario.herd)
        return herd if self.step.groups is None else self.step.groups

    @property
    def fields(self) -> list[str]:
        """Keys of the farm's fields."""
        return list(self.question.scenario.land.fields)


def plan_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the steps of every system."""
    for site in question.sites:
        yield from _keys_given_twice(site)
        for key, step in site.steps:
            asked = _Asked(question, site, site.path("plan", key), step)
            yield from _groups(asked)
            yield from _ground_states(asked)
            yield from _field(asked)
            yield from _structure(asked)
            yield from _presentation(asked)
            yield from resting_faults(question, site, asked.path, step)
            yield from _spells(asked)
            yield from _dates(asked)
        yield from _acres_shut(question, site)


def _keys_given_twice(site: Site) -> Iterator[Fault]:
    counts = Counter(key for key, _ in site.steps)
    for key, count in counts.items():
        if count > 1:
            yield Fault(
                site.path("plan", key, "key"),
                f"{count} steps of the plan are called {key!r}; give each a key of its own.",
                received=key,
            )


def _groups(asked: _Asked) -> Iterator[Fault]:
    groups = asked.step.groups
    if groups is None:
        return
    path = f"{asked.path}.groups"
    yield from _whole_list(path, "group", groups)
    herd = list(asked.question.scenario.herd)
    for group in dict.fromkeys(groups):
        if group not in asked.question.scenario.herd:
            yield asked.question.unknown(path, "group", group, herd)


def _ground_states(asked: _Asked) -> Iterator[Fault]:
    if asked.step.ground_states is not None:
        yield from _whole_list(
            f"{asked.path}.ground_states", "ground state", asked.step.ground_states
        )


def _whole_list(path: str, what: str, words: Sequence[str]) -> Iterator[Fault]:
    """Yield a list that is empty, or has a word twice."""
    if not words:
        yield Fault(
            path,
            f"The list is empty, so the step serves nobody; name a {what}, or leave the list out "
            "for all of them.",
        )
    for word, count in Counter(words).items():
        if count > 1:
            yield Fault(
                path, f"The {what} {word!r} stands {count} times; name it once.", received=word
            )


def _field(asked: _Asked) -> Iterator[Fault]:
    step, fields = asked.step, asked.fields
    path = f"{asked.path}.field"
    if step.field is None:
        if METHODS[step.method].needs_field:
            yield Fault(
                path,
                f"A {step.method} step needs the field on which the animals stand; known fields: "
                f"{some_of(fields) or 'none'}.",
                allowed=choice(fields),
            )
    elif step.field not in asked.question.scenario.land.fields:
        yield asked.question.unknown(path, "field", step.field, fields)


def _structure(asked: _Asked) -> Iterator[Fault]:
    kinds = METHODS[asked.step.method].structure_kinds
    if not kinds:
        return
    path = f"{asked.path}.structure"
    key: str = asked.step.setting("structure")
    structures = asked.site.system.structures
    fitting = [name for name, structure in structures.items() if structure.kind in kinds]
    if key not in structures:
        yield asked.question.unknown(path, " or ".join(kinds), key, fitting)
    elif structures[key].kind not in kinds:
        yield Fault(
            path,
            f"{key} is a {structures[key].kind}; a {asked.step.method} step feeds on a "
            f"{' or '.join(kinds)}. Known: {some_of(fitting) or 'none'}.",
            received=key,
            allowed=choice(fitting),
            suggestion=fitting[0] if len(fitting) == 1 else None,
        )


def _presentation(asked: _Asked) -> Iterator[Fault]:
    presentation = asked.step.presentation
    path = f"{asked.path}.presentation"
    eats_hay = METHODS[asked.step.method].eats_hay
    if presentation is None and eats_hay:
        yield Fault(
            path,
            "The step feeds hay, so it must say how hay is put before the animals: one word for "
            "all groups, or a word for each.",
            allowed=choice(asked.question.presentations),
        )
    if not isinstance(presentation, dict):
        return
    herd = asked.question.scenario.herd
    for group in presentation:
        if group not in herd:
            yield asked.question.unknown(f"{path}.{group}", "group", group, list(herd))
    for group in dict.fromkeys(asked.groups):
        if eats_hay and group in herd and group not in presentation:
            yield Fault(
                f"{path}.{group}",
                f"The step feeds hay to {group} and does not say how it is put before them.",
                allowed=choice(asked.question.presentations),
            )


def _spells(asked: _Asked) -> Iterator[Fault]:
    if asked.step.min_spell_days <= 1:
        return
    lacking = [
        state for state in states_of(asked.step) if state in asked.question.states_without_spells
    ]
    if lacking:
        yield fault_of(
            asked.step,
            asked.path,
            "min_spell_days",
            f"min_spell_days {exact(asked.step.min_spell_days)} asks how long spells last, and "
            f"the mean spell of {some_of(lacking)} is not known in every winter; give "
            f"winter.spell_days.{lacking[0]} (or spell_days in every row), or leave "
            "min_spell_days out.",
        )


def _dates(asked: _Asked) -> Iterator[Fault]:
    closing: str | None = asked.step.setting("closing_date")
    dormancy: str | None = asked.step.setting("dormancy_date")
    if closing is None or dormancy is None:
        return
    days = days_between(closing, dormancy)
    if not 0 < days <= LONGEST_SHUT:
        yield fault_of(
            asked.step,
            asked.path,
            "dormancy_date",
            f"Grass shut on {closing} would grow for {days} days until {dormancy}; the "
            "dormancy_date must follow the closing_date, by at most "
            f"{LONGEST_SHUT} days.",
            allowed=f"1 to {LONGEST_SHUT} days after {closing}",
        )


def _acres_shut(question: Question, site: Site) -> Iterator[Fault]:
    fields = question.scenario.land.fields
    shut: dict[str, list[tuple[str, float]]] = {}
    for key, step in site.steps:
        acres: float | None = step.setting("acres")
        if acres is not None and step.field in fields:
            shut.setdefault(step.field, []).append((key, acres))
    for name, parts in shut.items():
        acres = sum(part for _, part in parts)
        there = fields[name].acres
        if acres <= there * (1 + SLACK):
            continue
        keys = list(dict.fromkeys(key for key, _ in parts))
        last = parts[-1][1]
        yield Fault(
            site.path("plan", keys[-1], "acres"),
            f"{exact(acres)} acres of {name} are shut ({some_of(keys)}), and it has "
            f"{exact(there)}; shut fewer.",
            received=last,
            allowed=f"at most {exact(max(0.0, there - acres + last))}",
            unit="acre",
        )
