"""A published case, what the engine says to it, and whether the two agree.

Whether they agree is worked out from the figures each time it is asked, never written down.
"""

import json
from dataclasses import asdict, dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any, Literal

Claim = Literal["reproduces_arithmetic", "agrees_with_measurement"]
Origin = Literal["printed", "derived", "neutral", "tables", "assumed"]
Outcome = Literal["agrees", "disagrees", "not_compared", "beside"]

CLAIMS: dict[Claim, str] = {
    "reproduces_arithmetic": "Given the source's own figures, the engine comes to its printed "
    "result: both do the same sums. It shows nothing about farms.",
    "agrees_with_measurement": "The source measured animals, feed or ground, and the engine, "
    "from what the source tells of them, comes to what was measured. Only this is evidence that "
    "the engine matches farms.",
}
NOTHING = "-"
"""Printed of what a source does not print."""
DIGITS = 12
"""The last digits of a figure differ between machines."""
ORIGINS: dict[Origin, str] = {
    "printed": "printed in the source",
    "derived": "worked out from what the source prints",
    "neutral": "neutral: takes no part in the result",
    "tables": "from the tables of this service, since the source does not print it",
    "assumed": "assumed for this case; the source does not print it",
}


@dataclass(frozen=True, slots=True)
class PutIn:
    """One thing that was put in, and where it is from."""

    what: str
    value: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Line:
    """One printed result beside what the engine says.

    Attributes
    ----------
    what : str
        What is compared.
    printed : str
        As the source prints it, with unit; ``-`` where it prints none.
    engine : float or str
        What the engine says, in the same unit; words where an order is compared.
    unit : str
        Unit of both.
    low, high : float or None
        Ends of what still agrees, both included; none where words are compared, or nothing is.
    words : str or None
        The order or sign in words that agrees, where words are compared.
    allowed : str
        The allowed difference in words, and why so much.
    why : str
        Why they differ, or why nothing can be compared; empty where they agree without more.
    own_sum : bool
        Whether agreement only says that both do the same sum, in a case of a measured outcome.
    document : str
        Name of the case's document that this came from, or of the first of them.
    settings : dict
        What was set on that document, by input path, as ``set`` of ``POST /v1/costings`` takes it.
    """

    what: str
    printed: str
    engine: float | str
    unit: str
    low: float | None = None
    high: float | None = None
    words: str | None = None
    allowed: str = ""
    why: str = ""
    own_sum: bool = False
    document: str = ""
    settings: dict[str, float | str] = field(default_factory=dict)

    @property
    def outcome(self) -> Outcome:
        """Whether the engine's answer lies within what agrees, if there is anything to compare."""
        if self.words is not None:
            return "agrees" if self.engine == self.words else "disagrees"
        if self.low is None or self.high is None or isinstance(self.engine, str):
            return "beside" if self.printed == NOTHING else "not_compared"
        return "agrees" if self.low <= self.engine <= self.high else "disagrees"

    @property
    def difference(self) -> float | None:
        """How far the engine is from the middle of what agrees, as a share of it [fraction]."""
        if self.low is None or self.high is None or isinstance(self.engine, str):
            return None
        middle = (self.low + self.high) / 2
        return None if middle == 0 else self.engine / middle - 1


@dataclass(frozen=True, slots=True)
class Case:
    """One published case.

    Attributes
    ----------
    key : str
        Short name, as ``V02``.
    title : str
        What is compared, in a few words.
    source : str
        Who published it, when, what and where; how it was seen.
    claim : str
        What agreement here is evidence of, a key of ``CLAIMS``.
    put_in : tuple of PutIn
        What was put in and where it is from.
    lines : tuple of Line
        Printed results beside the engine's.
    shows : str
        What this case can show, and what it cannot.
    not_printed : tuple of str
        What the source does not print (where it was read).
    misprints : tuple of str
        What in the source does not follow from its own figures; recorded, not matched.
    documents : dict
        The scenario documents by name, as they are sent to ``POST /v1/costings``.
    """

    key: str
    title: str
    source: str
    claim: Claim
    put_in: tuple[PutIn, ...]
    lines: tuple[Line, ...]
    shows: str
    not_printed: tuple[str, ...] = ()
    misprints: tuple[str, ...] = ()
    documents: dict[str, dict[str, Any]] = field(default_factory=dict)

    def count(self, outcome: Outcome) -> int:
        """Return how many lines have an outcome."""
        return sum(line.outcome == outcome for line in self.lines)


def to_json(cases: tuple[Case, ...]) -> list[dict[str, Any]]:
    """Return cases as they are kept in the package, figures to twelve digits."""
    rows = [asdict(case) for case in cases]
    for line in (line for row in rows for line in row["lines"]):
        if not isinstance(line["engine"], str):
            line["engine"] = float(f"{line['engine']:.{DIGITS}g}")
    return rows


def from_json(rows: list[dict[str, Any]]) -> tuple[Case, ...]:
    """Return the cases that ``to_json`` wrote."""
    return tuple(_case(dict(row)) for row in rows)


def _case(row: dict[str, Any]) -> Case:
    row["put_in"] = tuple(PutIn(**each) for each in row["put_in"])
    row["lines"] = tuple(Line(**each) for each in row["lines"])
    row["not_printed"] = tuple(row["not_printed"])
    row["misprints"] = tuple(row["misprints"])
    return Case(**row)


@cache
def published_cases() -> tuple[Case, ...]:
    """Read the cases that this version of the service was held against."""
    text = (files("service.trust") / "cases.json").read_text("utf-8")
    return from_json(json.loads(text))
