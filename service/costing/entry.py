"""How one input is declared: once, beside its name, with unit, range and meaning.

The scenario is made of frozen dataclasses whose fields carry an `Entry`. The catalogue of inputs,
the checks on a request and the published schema all read it. pydantic finds the two hooks by their
names; nothing is imported from it here.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

MONTH_DAY = (
    r"^((0[13578]|1[02])-(0[1-9]|[12][0-9]|3[01])"
    r"|(0[469]|11)-(0[1-9]|[12][0-9]|30)"
    r"|02-(0[1-9]|1[0-9]|2[0-8]))$"
)
"""A day of the 365-day year, as MM-DD."""

KEY = r"^[a-z][a-z0-9_]{0,39}$"

STRICT = {"extra": "forbid", "strict": True}
"""Set as ``__pydantic_config__`` on each dataclass of the document: a name that is not known and a
value of another type are refused."""


def _said(value: float) -> str:
    """Write a limit out in full, with commas between thousands."""
    return f"{value:,.6f}".rstrip("0").rstrip(".")


def _whole(value: float) -> float:
    """Return a whole number as it is.

    Raises
    ------
    ValueError
        If it is none.
    """
    if value % 1:
        message = "a whole number"
        raise ValueError(message)
    return value


def published_name(name: str) -> str:
    """Return the name of a field in the document; ``class`` is a word that Python keeps."""
    return "class" if name == "machine_class" else name


STRICT_WITH_CLASS = {**STRICT, "alias_generator": published_name}
"""The same where a field is called ``class`` in the document."""

Schema = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """Title, unit and allowed range of one input.

    Parameters
    ----------
    title : str
        Two to five words for a label.
    meaning : str
        One plain sentence.
    unit : str
        Unit of the number; empty for words, dates and yes or no.
    ge, gt, le, lt : float, optional
        Allowed range; given in the unit.
    whole : bool
        Only whole numbers.
    pattern : str, optional
        Regular expression for text.
    longest : int, optional
        Most characters of a text.
    """

    title: str
    meaning: str = ""
    unit: str = ""
    ge: float | None = None
    gt: float | None = None
    le: float | None = None
    lt: float | None = None
    whole: bool = False
    pattern: str | None = None
    longest: int | None = None

    @property
    def allowed(self) -> str:
        """The range in words, empty where there is none."""
        parts = [
            f"{word} {_said(value)}"
            for word, value in (
                ("at least", self.ge),
                ("more than", self.gt),
                ("at most", self.le),
                ("less than", self.lt),
            )
            if value is not None
        ]
        if self.whole:
            parts.append("a whole number")
        return ", ".join(parts)

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Schema]
    ) -> Schema:
        """Add the range to what pydantic checks."""
        schema = handler(source)
        if schema["type"] == "float":
            limits = {"ge": self.ge, "gt": self.gt, "le": self.le, "lt": self.lt}
            schema |= {name: value for name, value in limits.items() if value is not None}
            schema["allow_inf_nan"] = False
            if self.whole:  # pydantic's own multiple_of lets through what is near a whole number
                check: Schema = {"type": "no-info", "function": _whole}
                return {"type": "function-after", "function": check, "schema": schema}
        if schema["type"] == "str":
            if self.pattern is not None:
                schema["pattern"] = self.pattern
            if self.longest is not None:
                schema["max_length"] = self.longest
        return schema

    def __get_pydantic_json_schema__(
        self, core_schema: Schema, handler: Callable[[Schema], Schema]
    ) -> Schema:
        """Publish title, meaning and unit with the schema."""
        schema = handler(core_schema)
        schema["title"] = self.title
        if self.meaning:
            schema["description"] = self.meaning
        if self.unit:
            schema["x-unit"] = self.unit
        if self.whole:
            schema["multipleOf"] = 1
        return schema


@dataclass(frozen=True, slots=True)
class Tagged:
    """A choice between dataclasses told apart by the word in one field."""

    field: str
    choices: Mapping[str, type]

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Schema]
    ) -> Schema:
        """Make it a tagged union, so that faults speak of the one variant meant."""
        del source
        return {
            "type": "tagged-union",
            "discriminator": self.field,
            "choices": {word: handler(choice) for word, choice in self.choices.items()},
        }


Text = Annotated[str, Entry("Text", "Free text, shown as it is.", longest=200)]
Key = Annotated[str, Entry("Key", "Lower-case name, joined by underscores.", pattern=KEY)]
MonthDay = Annotated[str, Entry("Date", "Month and day, MM-DD.", pattern=MONTH_DAY)]
