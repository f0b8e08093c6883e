"""Which sheets the answer sheet has and what stands in their columns, read off the scenario.

Plain inputs have a row each on one sheet; what there can be several of has a sheet of its own with
a row for each. Nothing is listed here by hand but the names that people know: a new input finds
its place by itself.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from service.costing.input_paths import joined
from service.costing.input_tree import (
    Leaf,
    ListOf,
    MapOf,
    Member,
    OneOf,
    Record,
    Shape,
    WordOrMap,
    input_tree,
)

TEMPLATE = "scenario/1"
README = "Read me"
FARM = "Farm"
ASSUMPTIONS = "Assumptions"
KEY = "key"
BASELINE = "baseline"
SYSTEMS = "systems"

UNIT_ROW, TITLE_ROW, NAME_ROW, FIRST_ROW = 3, 4, 5, 6

SHEET_OF: Mapping[str, str] = {"rows": "Winters"}
"""Sheets that are not called as the input is."""

ORDER = ("Herd", "Fields", "Machines", "Winters", "Systems", "Plan", "Structures")
"""The farm first, then the systems that are for it; what few farms need stands behind."""

LEADING = (KEY, "season", "method", "kind", "title")
"""What tells one item from another stands first."""

ANY_ITEM = "*"
Address = tuple[str, ...]
"""Names of members, keys and items that lead to a place of the document."""


@dataclass(frozen=True, slots=True)
class Column:
    """One input of an item.

    ``leaves`` has how it is declared, by the word of each method or kind that has it; by the empty
    word where there is no such choice.
    """

    name: str
    inside: Address
    pattern: str
    leaves: Mapping[str, Leaf | WordOrMap]
    applies_to: tuple[str, ...]
    required: bool
    default: object
    part: str = ""
    """What it belongs to that may be left out as a whole; empty if it belongs to no such part."""

    @property
    def needed(self) -> bool:
        """Whether no scenario can do without it."""
        return self.required and not self.part

    @property
    def title(self) -> str:
        """Two to five words for a label; the name, where it is called otherwise here and there."""
        titles = {_word_leaf(shape).entry.title for shape in self.leaves.values()}
        return self.leaf.entry.title if len(titles) == 1 else _words(self.inside[-1])

    @property
    def meanings(self) -> tuple[str, ...]:
        """What it means, once for each that means something else."""
        found = [_word_leaf(shape).entry.meaning for shape in self.leaves.values()]
        return tuple(dict.fromkeys(meaning for meaning in found if meaning))

    @property
    def leaf(self) -> Leaf:
        """How it is declared, the first if there are several."""
        return _word_leaf(next(iter(self.leaves.values())))

    @property
    def by_key(self) -> bool:
        """Whether a cell may hold a word for each group."""
        return isinstance(next(iter(self.leaves.values())), WordOrMap)


def _word_leaf(shape: Leaf | WordOrMap) -> Leaf:
    return shape.word if isinstance(shape, WordOrMap) else shape


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()


@dataclass(frozen=True, slots=True)
class Grid:
    """A sheet with a row for each item of a map or a list."""

    sheet: str
    address: Address
    parents: tuple[str, ...]
    placeholder: str
    is_list: bool
    tag: str | None
    columns: tuple[Column, ...]

    @property
    def own(self) -> str | None:
        """Name of the column that tells items apart; None where their order alone does."""
        if not self.is_list:
            return KEY
        return self.placeholder if self.parents else None

    @property
    def leading(self) -> tuple[str, ...]:
        """Names of the columns that say which item a row is."""
        return (*self.parents, self.own) if self.own else self.parents

    @property
    def marks_baseline(self) -> bool:
        """Whether one of its rows is marked as what the others are held against."""
        return self.address == (SYSTEMS,)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all its columns."""
        marks = (BASELINE,) if self.marks_baseline else ()
        return (*self.leading, *(column.name for column in self.columns), *marks)


@dataclass(frozen=True, slots=True)
class Layout:
    """All sheets but the first."""

    plain: tuple[Column, ...]
    grids: tuple[Grid, ...]

    @property
    def sheets(self) -> tuple[str, ...]:
        """Their names in order."""
        return (README, FARM, *(grid.sheet for grid in self.grids), ASSUMPTIONS)


@dataclass
class _Found:
    columns: list[Column] = field(default_factory=list[Column])
    grids: list[Grid] = field(default_factory=list[Grid])


def labels(columns: Sequence[Column], depth: int = 1) -> dict[str, str]:
    """Return what people read above each column.

    Its title, or its name where several share one; with the part that it belongs to before it
    where that lies deeper than ``depth``, or the same is said of another part.
    """
    around: dict[Address, list[str]] = {}
    for column in columns:
        around.setdefault(column.inside[:-1], []).append(column.title)
    own = {column.name: _own_label(column, around[column.inside[:-1]]) for column in columns}
    found = dict(own)
    for column in columns:
        label, inside = own[column.name], column.inside
        twice = list(own.values()).count(label) > 1
        if len(inside) > depth or (twice and inside[:-1]):
            part = _part(column, around[inside[:-1]])
            known = label.lower().startswith(part.lower())
            found[column.name] = label if known else f"{part}: {label.lower()}"
    return found


def _own_label(column: Column, titles: list[str]) -> str:
    return column.title if titles.count(column.title) == 1 else _words(column.inside[-1])


def _part(column: Column, titles: list[str]) -> str:
    """Return what a part is called: as all in it are titled, if that says enough."""
    shared = len(set(titles)) == 1 and len(column.title.split()) > 1
    return column.title if shared else _words(column.inside[-2])


@cache
def layout() -> Layout:
    """Return the sheets of a scenario."""
    found = _Found()
    _look(input_tree(), (), (), found)
    plain = sorted(found.columns, key=lambda column: len(column.inside) > 1)
    grids = sorted(found.grids, key=lambda grid: (*ORDER, grid.sheet).index(grid.sheet))
    return Layout(tuple(plain), tuple(grids))


def _look(record: Record, inside: Address, around: Address, found: _Found, part: str = "") -> None:
    """Sort the members of a record into columns and sheets of their own."""
    for member in record.members.values():
        here, shape = (*inside, member.name), member.shape
        if isinstance(shape, Leaf | WordOrMap):
            pattern = _pattern((*around, *here))
            found.columns.append(_column(member, shape, here, pattern, part))
        elif isinstance(shape, Record):
            _look(shape, here, around, found, part if member.required else joined(here))
        elif isinstance(shape, MapOf | ListOf) and here != (ASSUMPTIONS.lower(),):
            found.grids.extend(_grids(shape, (*around, *here)))


def _column(
    member: Member, shape: Leaf | WordOrMap, inside: Address, pattern: str, part: str = ""
) -> Column:
    return Column(
        name=joined(inside),
        inside=inside,
        pattern=pattern,
        leaves={"": shape},
        applies_to=(),
        required=member.required,
        default=member.default,
        part=part,
    )


def _grids(shape: MapOf | ListOf, address: Address) -> Iterator[Grid]:
    """Return the sheet of a map or list, and those of what its items have several of."""
    inner = _Found()
    items = shape.items
    _look_at_items(items, (*address, ANY_ITEM), inner)
    yield Grid(
        sheet=SHEET_OF.get(address[-1], _words(address[-1])),
        address=address,
        parents=tuple(_parents(address)),
        placeholder=shape.placeholder,
        is_list=isinstance(shape, ListOf),
        tag=items.field if isinstance(items, OneOf) else None,
        columns=tuple(sorted(inner.columns, key=_rank)),
    )
    yield from inner.grids


def _look_at_items(items: Shape, around: Address, found: _Found) -> None:
    if isinstance(items, Record):
        _look(items, (), around, found)
    elif isinstance(items, OneOf):
        found.columns.append(
            _column(
                Member(items.field, items.tag, required=True, nullable=False),
                items.tag,
                (items.field,),
                _pattern((*around, items.field)),
            )
        )
        found.columns.extend(_columns_of_variants(items, around))


def _columns_of_variants(shape: OneOf, around: Address) -> Iterator[Column]:
    """Return the columns of all variants, those first that all of them have."""
    variants: dict[str, dict[str, Column]] = {}
    for word, record in shape.choices.items():
        found = _Found()
        _look(record, (), around, found)
        variants[word] = {column.name: column for column in found.columns}
    names = dict.fromkeys(name for columns in variants.values() for name in columns)
    scopes = {
        name: tuple(w for w, columns in variants.items() if name in columns) for name in names
    }
    for name in sorted(names, key=lambda name: len(scopes[name]) < len(variants)):
        words = scopes[name]
        if name != shape.field:
            first = variants[words[0]][name]
            yield Column(
                name=name,
                inside=first.inside,
                pattern=first.pattern,
                leaves={word: variants[word][name].leaves[""] for word in words},
                applies_to=() if len(words) == len(variants) else words,
                required=first.required,
                default=first.default,
                part=first.part,
            )


def _parents(address: Address) -> Iterator[str]:
    """Return what the items are called that a map or list lies inside."""
    shape: Shape = input_tree()
    for name in address:
        if name == ANY_ITEM and isinstance(shape, MapOf | ListOf):
            yield shape.placeholder
            shape = shape.items
        elif isinstance(shape, Record):
            shape = shape.members[name].shape


def _pattern(address: Address) -> str:
    """Return the path as the catalogue has it, with a placeholder for each key."""
    shape: Shape = input_tree()
    names: list[str] = []
    for name in address:
        if isinstance(shape, MapOf | ListOf):
            names.append(f"<{shape.placeholder}>")
            shape = shape.items
            continue
        names.append(name)
        record = next(iter(shape.choices.values())) if isinstance(shape, OneOf) else shape
        if isinstance(record, Record) and name in record.members:
            shape = record.members[name].shape
    return joined(names)


def _rank(column: Column) -> int:
    return LEADING.index(column.name) if column.name in LEADING else len(LEADING)
