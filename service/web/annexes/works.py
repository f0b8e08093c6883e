"""For the engineer: what is built and of what, its companion practices, and its upkeep."""

from collections.abc import Iterator

import numpy as np

from service.costing.averages import mean_of
from service.costing.builder import Built
from service.costing.companions import MISSING, NOT_NEEDED, PRESENT
from service.costing.triggers.facts import is_new
from service.costing.units import INCHES_PER_FOOT, MINUTES_PER_HOUR, POUNDS_PER_TON
from service.costing.wording import spoken
from service.season.planning import (
    CUBIC_FEET_PER_CUBIC_YARD,
    SQUARE_FEET_PER_SQUARE_YARD,
    mark_of,
    planned,
    planning,
    practice_standards,
)
from service.web.annexes.annex import Block, Item, stated, unknown
from service.web.annexes.planning import taken
from service.web.annexes.subject import AnnexSubject, Document

STATUS = {PRESENT: "present", MISSING: "missing", NOT_NEEDED: "not needed"}


def quantities_block(subject: AnnexSubject) -> Block:
    """Return what is built, how large, at what price and by whose word."""
    items = [item for built, told in subject.built for item in _structure(subject, built, told)]
    remark = "" if subject.new else "Nothing new is built in this system."
    return Block("quantities", "Quantities and prices", items, shape="grid", remark=remark)


def _structure(subject: AnnexSubject, item: Built, told: Document) -> Iterator[Item]:
    about = subject.title_of(item)
    path = f"systems.{subject.key}.structures.{item.key}"
    structure = item.structure
    size = f"{path}.{structure.size_field}"
    if size in subject.body["origins"]:
        yield subject.given(size, "size", "Size", told["size"], told["size_unit"], about=about)
    else:
        yield subject.worked("size", "Size", told["size"], told["size_unit"], about)
    if told["size_by_rule"] is not None:
        yield subject.worked("by_rule", "by rule", told["size_by_rule"], told["size_unit"], about)
    if structure.price is not None:
        yield subject.given(
            f"{path}.price", "price", "Price", structure.price, subject.currency, about=about
        )
        yield subject.given(
            f"{path}.quote_date",
            "quote_date",
            "Quote of",
            structure.quote_date,
            about=about,
            note="" if structure.quote_date else "A price without the date of its quote.",
        )
    else:
        yield _unit_price(subject, structure.kind, about, told["size_unit"])
    yield subject.worked("first_cost", "First cost", told["cost"], subject.currency, about)
    yield stated("state", "State", _state(item), about)


def _state(item: Built) -> str:
    if is_new(item):
        return "part new" if item.existing is not None else "new"
    left = item.structure.remaining_life_years
    return "there now" if left is None else f"there now, {left:g} years left"


def _unit_price(subject: AnnexSubject, kind: str, about: str, unit: str) -> Item:
    found = subject.reference(f"structure.{kind}.unit_cost", "price", "Price", about)
    return Item(
        line="price",
        title="Price",
        value=found.value,
        unit=found.unit.replace("size", unit),
        origin=found.origin,
        about=about,
        low=found.low,
        usual=found.usual,
        high=found.high,
        source=found.source,
        where=found.where,
        mark=found.mark,
        input=found.input,
    )


def materials_block(subject: AnnexSubject) -> Block:
    """Return what the new works would take in material, before a design says so."""
    items = [*_materials(subject)]
    return Block("materials", "Materials of what is new", items)


def _materials(subject: AnnexSubject) -> Iterator[Item]:
    for item, told in subject.new:
        kind, about = item.structure.kind, subject.title_of(item)
        added = _added(item, told)
        if kind == "gravel_pad":
            yield from _rock(added, about)
        elif kind == "concrete_pad":
            yield from _concrete(added, about)
        elif kind in {"fence", "pipeline", "access_lane"}:
            title = {"fence": "Fence", "pipeline": "Pipe", "access_lane": "Lane"}[kind]
            yield subject.worked(kind, title, added, "ft", about)
            if kind == "pipeline":
                yield unknown("pipe_depth", "Depth of the pipe", about)
    yield unknown("power", "Power line in feet")


def _added(item: Built, told: Document) -> float:
    """Return the size that is new: all of it, or what is added to what is there."""
    return told["size"] - (item.structure.existing_size or 0.0)


def _rock(area: float, about: str) -> Iterator[Item]:
    rock, lap = planned("rock"), planning()["fabric_lap"]
    if rock is not None:
        yield taken(rock, "rock", "Rock", area / POUNDS_PER_TON, "ton", about)
    yield Item(
        line="fabric",
        title="Fabric, before laps",
        value=area / SQUARE_FEET_PER_SQUARE_YARD,
        unit="sq yd",
        origin="worked",
        about=about,
        source=lap["source"],
        where=lap["note"],
        mark=mark_of(lap),
        note=f"Add laps of at least {lap['usual']} {lap['unit']}.",
    )


def _concrete(area: float, about: str) -> Iterator[Item]:
    deep = planned("concrete")
    if deep is not None:
        times = area / INCHES_PER_FOOT / CUBIC_FEET_PER_CUBIC_YARD
        yield taken(deep, "concrete", "Concrete", times, "cu yd", about)


def practices_block(subject: AnnexSubject) -> Block:
    """Return the practices that a pad needs beside it: there, missing or not needed."""
    found = subject.shown["companions"]
    several = len({one["structure"] for one in found}) > 1
    items = [item for one in found for item in _practice(subject, one, several=several)]
    remark = "" if items else "No feeding pad is in use, so none was looked for."
    return Block("practices", "Companion practices", items, shape="grid", remark=remark)


def _practice(subject: AnnexSubject, found: Document, *, several: bool) -> Iterator[Item]:
    standards = practice_standards()
    number = ", ".join(standards.of(found["practice"]))
    about = spoken(found["practice"]).capitalize()
    if several:
        about = f"{_called(subject, found['structure'])}: {about}"
    yield subject.worked("status", "Status", STATUS[found["status"]], about=about)
    yield subject.worked("meaning", "What that means", found["meaning"], about=about)
    if number:
        yield Item(
            line="standard",
            title="Standard",
            value=number,
            origin="reference",
            about=about,
            source=standards.source,
            where=standards.where,
            mark=standards.mark,
        )


def _called(subject: AnnexSubject, key: str) -> str:
    return next(subject.title_of(item) for item, _ in subject.built if item.key == key)


def upkeep_block(subject: AnnexSubject) -> Block:
    """Return what each structure takes a year, over the years looked at."""
    items = [item for built, told in subject.built for item in _upkeep(subject, built, told)]
    return Block("upkeep", "Upkeep a year", items, shape="grid", half=True)


def care_block(subject: AnnexSubject) -> Block:
    """Return the hours that floors and structures take in a winter, by kind."""
    items = [
        subject.worked("hours", spoken(kind).capitalize(), hours, "hour")
        for kind, hours in _hours(subject).items()
    ]
    remark = "" if items else "None is counted."
    return Block("care", "Hours of people a winter, by kind", items, remark=remark, half=True)


def _upkeep(subject: AnnexSubject, item: Built, told: Document) -> Iterator[Item]:
    about, kind = subject.title_of(item), item.structure.kind
    yearly = told["upkeep_by_year"][1:]
    mean = sum(yearly) / len(yearly) if yearly else 0.0
    yield subject.worked("upkeep", "Upkeep", mean, "currency/year", about)
    yield subject.reference(
        f"structure.{kind}.upkeep_fraction", "upkeep_fraction", "of first cost", about
    )
    yield subject.worked("life", "Life counted", told["life_years"], "year", about)


def _hours(subject: AnnexSubject) -> dict[str, float]:
    """Return the hours of people by kind of structure: scraping, spreading, bedding, upkeep."""
    labor = subject.system.labor
    if labor is None:
        return {}
    minutes = mean_of(subject.costing.winters, labor.own_minutes)
    found: dict[str, float] = {}
    for place, task in enumerate(labor.tasks):
        if task.step is None:
            own = float(np.reshape(minutes[place], -1)[0]) / MINUTES_PER_HOUR
            found[task.task.owner] = found.get(task.task.owner, 0.0) + own
    return {kind: hours for kind, hours in found.items() if hours > 0}
