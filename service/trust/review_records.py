"""The grades of the reference values, and how much those that nothing bears out move a result."""

import json
import tomllib
from dataclasses import asdict, dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any, Literal

Grade = Literal[
    "handbook_seen",
    "paper_seen",
    "extension_seen",
    "from_memory",
    "common_practice",
    "assumption",
]

GRADES: dict[Grade, str] = {
    "handbook_seen": "A standard or a handbook gives it, and the place was read.",
    "paper_seen": "Somebody measured it and published how; the paper or its abstract was read.",
    "extension_seen": "A sheet of an extension or government office gives it, and was read.",
    "from_memory": "A publication is named, and the figure is from memory of it: still to be "
    "checked.",
    "common_practice": "The trade does it so; no publication was found.",
    "assumption": "Nobody measured it, or nothing of it was found; the note to the value says why "
    "it is what it is.",
}
"""How well a value is borne out, the best first. It grades where the middle figure comes from;
the low and the high are often ours even where that is published."""

DOUBTFUL: tuple[Grade, ...] = ("from_memory", "common_practice", "assumption")
DECIMALS = 9
"""The last digits of a figure differ between machines."""
TEN = 10


@dataclass(frozen=True, slots=True)
class Value:
    """One value of the edition.

    Attributes
    ----------
    key, meaning, unit : str
        As in the edition.
    low, high : float or None
        None where the value is a word.
    usual : float or str
        What is used if a farm gives none.
    source : str
        In words.
    grade : str
        A key of ``GRADES``.
    thing : str
        What it is a figure of: a key, ``*`` where values differ that one look would settle.
    find_out : str or None
        How a farm finds its own.
    """

    key: str
    meaning: str
    unit: str
    low: float | None
    usual: float | str
    high: float | None
    source: str
    grade: Grade
    thing: str
    find_out: str | None

    @property
    def has_room(self) -> bool:
        """Whether there is a low and a high to move between."""
        return self.low is not None and self.high is not None and self.low < self.high


@dataclass(frozen=True, slots=True)
class OwnFigure:
    """How far a figure that a farm gives itself may be off.

    Attributes
    ----------
    path, meaning, unit : str
        As in the edition.
    low, high : float
        Ends, or shares of the value given.
    is_share : bool
        Whether the ends are shares.
    source : str
        In words.
    grade : str
        A key of ``GRADES``.
    find_out : str or None
        How a farm finds its own.
    """

    path: str
    meaning: str
    unit: str
    low: float
    high: float
    is_share: bool
    source: str
    grade: Grade
    find_out: str | None


@dataclass(frozen=True, slots=True)
class Farm:
    """A farm that values were moved on; invented, as all farms shown here.

    Attributes
    ----------
    key, title : str
        Short and full name.
    systems : int
        How many systems it compares [system].
    best, second : str
        Its cheapest system and the next.
    cost, lead : float
        What the cheapest comes to, and how much less that is than the next [USD/year].
    """

    key: str
    title: str
    systems: int
    best: str
    second: str
    cost: float
    lead: float


@dataclass(frozen=True, slots=True)
class Move:
    """What moving one thing between its low and its high does.

    Attributes
    ----------
    what : str
        A key, a thing, or the path of a figure that farms give.
    shares : dict
        By farm, how far the lead of the cheapest system moves, as a share of its cost [fraction];
        a farm that does not use it, or gives its own, is not in it.
    turns : tuple of str
        Farms on which another system becomes the cheapest.
    unfed : tuple of str
        Farms on which an end of it leaves animals unfed; that end does not count, as the cost
        there is not the whole.
    """

    what: str
    shares: dict[str, float]
    turns: tuple[str, ...] = ()
    unfed: tuple[str, ...] = ()

    @property
    def largest(self) -> float:
        """The largest of its moves [fraction]."""
        return max(self.shares.values(), default=0.0)


@dataclass(frozen=True, slots=True)
class Thing:
    """Values that one look would settle.

    Attributes
    ----------
    move : Move
        On each farm the largest move of its values, each moved alone.
    values : tuple of str
        Those of its values that nothing bears out and that some farm uses, by key.
    together : dict
        By farm, the move if all of them are low or high at once [fraction]; of the ten alone.
    """

    move: Move
    values: tuple[str, ...]
    together: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Review:
    """Every reference value, graded; and what moving the doubtful ones does to four farms.

    Attributes
    ----------
    edition : str
        Which was reviewed.
    values, own_figures : tuple
        All of the edition, and how far given figures may be off.
    farms : tuple of Farm
        On which values were moved.
    moves : tuple of Move
        Doubtful values by key, those that move a farm most first.
    things : tuple of Thing
        The same put together by what one look would settle, in the same order.
    without_room : tuple of str
        Doubtful values that are words or have no low and high: nothing to move.
    unused : tuple of str
        Doubtful values with a low and a high that none of the farms takes from the tables.
    own_moves : tuple of Move
        Figures that farms give, by path, those that move a farm most first.
    """

    edition: str
    values: tuple[Value, ...]
    own_figures: tuple[OwnFigure, ...]
    farms: tuple[Farm, ...]
    moves: tuple[Move, ...]
    things: tuple[Thing, ...]
    without_room: tuple[str, ...]
    unused: tuple[str, ...]
    own_moves: tuple[Move, ...]

    @property
    def ten(self) -> tuple[Thing, ...]:
        """The ten things that matter most and that nothing bears out."""
        return self.things[:TEN]

    def count(self, grade: Grade) -> int:
        """Return how many values of the edition have a grade."""
        return sum(value.grade == grade for value in self.values)


@dataclass(frozen=True, slots=True)
class TenValue:
    """What is to be said of one of the ten.

    Attributes
    ----------
    thing : str
        As in the review.
    title : str
        What it is, in a few words.
    known : str
        What is known, with sources.
    range : str
        From where to where, and why.
    settled_by : str
        What would settle it.
    measure : str
        How a farm measures its own.
    """

    thing: str
    title: str
    known: str
    range: str
    settled_by: str
    measure: str


def to_json(review: Review) -> dict[str, Any]:
    """Return a review as it is kept in the package, worked figures to nine decimals."""
    row = asdict(review)
    for move in (*row["moves"], *row["own_moves"], *(each["move"] for each in row["things"])):
        move["shares"] = _rounded(move["shares"])
    for thing in row["things"]:
        thing["together"] = _rounded(thing["together"])
    for farm in row["farms"]:
        farm.update(_rounded({name: farm[name] for name in ("cost", "lead")}))
    return row


def from_json(row: dict[str, Any]) -> Review:
    """Return the review that ``to_json`` wrote."""
    return Review(
        edition=row["edition"],
        values=tuple(Value(**each) for each in row["values"]),
        own_figures=tuple(OwnFigure(**each) for each in row["own_figures"]),
        farms=tuple(Farm(**each) for each in row["farms"]),
        moves=tuple(_move(each) for each in row["moves"]),
        things=tuple(
            Thing(_move(each["move"]), tuple(each["values"]), each["together"])
            for each in row["things"]
        ),
        without_room=tuple(row["without_room"]),
        unused=tuple(row["unused"]),
        own_moves=tuple(_move(each) for each in row["own_moves"]),
    )


def _move(row: dict[str, Any]) -> Move:
    return Move(row["what"], row["shares"], tuple(row["turns"]), tuple(row["unfed"]))


def _rounded(figures: dict[str, float]) -> dict[str, float]:
    return {name: round(figure, DECIMALS) for name, figure in figures.items()}


@cache
def reference_review() -> Review:
    """Read the review of the reference values of this version."""
    text = (files("service.trust") / "reference_review.json").read_text("utf-8")
    return from_json(json.loads(text))


@cache
def ten_values() -> dict[str, TenValue]:
    """Read what is to be said of the ten that matter most, by thing."""
    text = (files("service.trust") / "ten_values.toml").read_text("utf-8")
    return {row["thing"]: TenValue(**row) for row in tomllib.loads(text)["value"]}
