"""The items of the catalogues: how each is published, and how it is made from the core's own."""

from collections import Counter
from dataclasses import asdict
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from service.costing.entry import published_name
from service.costing.figures_catalog import figures
from service.costing.input_catalog import Input, inputs
from service.costing.input_tree import ListOf, MapOf, OneOf, Record, input_tree
from service.costing.methods import METHODS
from service.costing.reference.table import Edition, Row, Source
from service.costing.structures import KINDS

Value = float | bool | str | list[str]


class Item(BaseModel):
    """What all items share: no member that is not declared."""

    model_config = ConfigDict(extra="forbid")


class InputItem(Item):
    """One input of a scenario."""

    path: str = Field(description="Path, with placeholders for the keys that a scenario chooses.")
    title: str
    meaning: str
    type: str = Field(description="number, word, text, name, date, yes_no, words, names.")
    unit: str
    minimum: float | None
    exclusive_minimum: float | None
    maximum: float | None
    exclusive_maximum: float | None
    whole: bool
    longest: int | None = Field(description="Most characters of a text.")
    choices: list[str]
    required: bool = Field(description="Whether it must be given where its item is given.")
    default: Value | None
    applies_to: list[str] = Field(description="Methods or kinds that have it; empty: all.")


class FigureItem(Item):
    """One figure of a costing."""

    path: str
    unit: str
    meaning: str
    lower_is_better: bool | None
    of: str = Field(description="system, or costing for the few that belong to the whole.")


class MethodItem(Item):
    """One feeding method."""

    method: str
    title: str
    meaning: str
    eats_hay: bool
    needs_field: bool
    structure_kinds: list[str] = Field(description="Kinds of structure that it can feed on.")
    inputs: list[str] = Field(description="Inputs that not every step has.")


class StructureItem(Item):
    """One kind of structure."""

    kind: str
    title: str
    meaning: str
    size: str = Field(description="Name of the input that holds its size.")
    size_unit: str
    is_floor: bool
    always_roofed: bool
    inputs: list[str] = Field(description="Inputs that not every structure has.")


class SourceItem(Item):
    """Where figures were published."""

    key: str
    author: str
    year: int | None
    title: str
    published_in: str
    kind: str
    url: str | None
    values: int = Field(description="Number of reference values that rest on it.")


class ReferenceValueItem(Item):
    """One reference value."""

    key: str
    unit: str
    low: float | None
    usual: float | str
    high: float | None
    words: list[str] | None = Field(description="Words to choose from, where it is a word.")
    meaning: str
    minimum: float | None
    maximum: float | None
    source: str = Field(description="Key of the source.")
    where: str = Field(description="Page or table in it.")
    source_in_words: str
    unverified: bool = Field(description="From memory of the source; still to be checked in it.")
    note: str
    find_out: str | None = Field(description="How a farm can find out its own.")
    currency: str | None
    price_year: int | None


class ReferenceValue(ReferenceValueItem):
    """One reference value with its source in full."""

    edition: str
    source: SourceItem = Field(description="The source in full.")  # pyright: ignore[reportIncompatibleVariableOverride, reportGeneralTypeIssues] - published in place of its key


class InputList(Item):
    """All inputs."""

    items: list[InputItem]


class FigureList(Item):
    """All figures."""

    items: list[FigureItem]


class MethodList(Item):
    """All feeding methods."""

    items: list[MethodItem]


class StructureList(Item):
    """All kinds of structure."""

    items: list[StructureItem]


class SourceList(Item):
    """All sources of an edition."""

    edition: str
    items: list[SourceItem]


class ReferenceValueList(Item):
    """Reference values of an edition."""

    edition: str
    items: list[ReferenceValueItem]


def columns(item: type[Item]) -> tuple[str, ...]:
    """Return the columns of the table of such items."""
    return tuple(item.model_fields)


def input_items() -> list[dict[str, Any]]:
    """Return all inputs as they are published."""
    return [_input(found) for found in inputs()]


def _input(found: Input) -> dict[str, Any]:
    shown = {("type" if name == "sort" else name): value for name, value in asdict(found).items()}
    return shown | {"choices": list(found.choices), "applies_to": list(found.applies_to)}


def figure_items() -> list[dict[str, Any]]:
    """Return all figures as they are published."""
    return [asdict(found) for found in figures()]


def method_items() -> list[dict[str, Any]]:
    """Return the feeding methods as they are published."""
    own = _own_inputs("plan")
    return [
        {
            "method": key,
            "title": _title(key),
            "meaning": _first_sentence(method),
            "eats_hay": method.eats_hay,
            "needs_field": method.needs_field,
            "structure_kinds": list(method.structure_kinds),
            "inputs": own[key],
        }
        for key, method in METHODS.items()
    ]


def structure_items() -> list[dict[str, Any]]:
    """Return the kinds of structure as they are published."""
    own = _own_inputs("structures")
    return [
        {
            "kind": key,
            "title": _title(key),
            "meaning": _first_sentence(kind),
            "size": published_name(kind.size_field),
            "size_unit": kind.size_unit,
            "is_floor": kind.is_floor,
            "always_roofed": kind.always_roofed,
            "inputs": own[key],
        }
        for key, kind in KINDS.items()
    ]


def source(found: Source, edition: Edition) -> dict[str, Any]:
    """Return a source as it is published."""
    resting = sum(row.source == found.key for row in edition.rows.values())
    return {**asdict(found), "values": resting}


def reference_value(row: Row, edition: Edition) -> dict[str, Any]:
    """Return a reference value as it is published."""
    return {
        "key": row.key,
        "unit": row.unit,
        "low": row.low,
        "usual": row.usual,
        "high": row.high,
        "words": None if row.words is None else list(row.words),
        "meaning": row.meaning,
        "minimum": row.minimum,
        "maximum": row.maximum,
        "source": row.source,
        "where": row.where,
        "source_in_words": in_words(edition.sources[row.source]),
        "unverified": row.unverified,
        "note": row.note,
        "find_out": row.find_out,
        "currency": row.currency,
        "price_year": row.price_year,
    }


def in_words(found: Source) -> str:
    """Return a source as a person would cite it."""
    author = f"{found.author} ({found.year})" if found.year else found.author
    return ", ".join(part for part in (author, found.title, found.published_in) if part)


def _own_inputs(place: str) -> dict[str, list[str]]:
    """Return the inputs of each step or structure that not all of its siblings have."""
    variants = _variants(place).choices
    names = Counter(name for record in variants.values() for name in record.members)
    return {
        word: [name for name in record.members if names[name] < len(variants)]
        for word, record in variants.items()
    }


def _variants(place: str) -> OneOf:
    systems = input_tree().members["systems"].shape
    if isinstance(systems, MapOf) and isinstance(systems.items, Record):
        shape = systems.items.members[place].shape
        if isinstance(shape, MapOf | ListOf) and isinstance(shape.items, OneOf):
            return shape.items
    message = f"{place} of a system has no variants"
    raise TypeError(message)


def _title(key: str) -> str:
    return key.replace("_", " ").capitalize()


def _first_sentence(cls: type) -> str:
    return (cls.__doc__ or "").strip().splitlines()[0] if cls.__doc__ else ""
