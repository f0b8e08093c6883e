"""Which form of a costing the address asks for: JSON, one table of it, or a workbook."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request

from service.costing.errors import nearest
from service.reports.tables.costing_tables import TABLES, Shape
from service.web.costing_parameters import DIALECT, FORMAT, SHAPE, SHAPES, TABLE
from service.web.leaf_rules import received, shortened
from service.web.negotiation import FORMS, form_wanted
from service.web.problem_kinds import INVALID_PARAMETER
from service.web.problems import ProblemError
from service.web.tables import MANNERS

FIGURES = "figures"
"""The one table of two shapes."""


@dataclass(frozen=True, slots=True)
class CostingForm:
    """What is asked for; without a table the JSON is the costing itself."""

    form: str
    table: str | None = None
    shape: Shape = "wide"
    dialect: str | None = None

    @property
    def whole(self) -> bool:
        """Whether the costing itself is asked for, as it is stored."""
        return self.form == "json" and self.table is None

    @property
    def name(self) -> str:
        """What tells it from the other forms of a costing, in entity tags."""
        parts = (self.form, self.table, self.shape, self.dialect)
        return "-".join(part for part in parts if part)

    def address(self, costing: str) -> str:
        """Return where a stored costing is found in this form, given where the costing is."""
        if self.whole:
            return costing
        asked = {TABLE: self.table, SHAPE: self.shape, DIALECT: self.dialect}
        if self.shape == "wide":
            del asked[SHAPE]
        query = urlencode({name: value for name, value in asked.items() if value})
        return f"{costing}.{self.form}" + (f"?{query}" if query else "")


WHOLE = CostingForm("json")


def form_of(request: Request, given: Mapping[str, str]) -> CostingForm:
    """Return the form that is asked for.

    Parameters
    ----------
    request : Request
        Its address may end with a form, and its header Accept name one.
    given : mapping
        Parameters of the address, by name.

    Raises
    ------
    ProblemError
        If one is not understood, or two do not go together; names every one.
    """
    asked = [name for name in (FORMAT, TABLE, SHAPE, DIALECT) if name in given]
    if not asked:
        form = form_wanted(request, None, None)
        return WHOLE if form == "json" else _completed(CostingForm(form))
    errors = [
        *_unknown(FORMAT, given, tuple(FORMS)),
        *_unknown(TABLE, given, tuple(TABLES)),
        *_unknown(SHAPE, given, SHAPES),
        *_unknown(DIALECT, given, tuple(MANNERS)),
    ]
    if errors:
        raise ProblemError(INVALID_PARAMETER, errors=errors)
    found = CostingForm(
        form_wanted(request, given.get(FORMAT), given.get(DIALECT)),
        given.get(TABLE),
        "long" if given.get(SHAPE) == "long" else "wide",
        given.get(DIALECT),
    )
    errors = _misfits(found, asked)
    if errors:
        raise ProblemError(INVALID_PARAMETER, errors=errors)
    return _completed(found)


def _completed(found: CostingForm) -> CostingForm:
    """Return a form with the table that CSV has where none is named."""
    if found.form != "csv" or found.table is not None:
        return found
    return CostingForm("csv", next(iter(TABLES)), found.shape, found.dialect)


def _unknown(name: str, given: Mapping[str, str], known: Sequence[str]) -> list[dict[str, Any]]:
    text = given.get(name)
    if text is None or text in known:
        return []
    near = nearest(shortened(text), known)
    hint = f"did you mean {near}?" if near else f"there are {', '.join(known)}."
    error = {
        "input": name,
        "detail": f"There is no {name} {shortened(text)!r}; {hint}",
        "received": received(text),
        "allowed": ", ".join(known),
    }
    return [error | ({"suggestion": near} if near else {})]


def _misfits(found: CostingForm, asked: Sequence[str]) -> list[dict[str, Any]]:
    """Tell what would have no effect, so that nobody waits for one."""
    errors: list[dict[str, Any]] = []
    if found.form == "xlsx":
        errors += [
            {"input": name, "detail": f"A workbook holds every table; leave out {name}."}
            for name in (TABLE, SHAPE, DIALECT)
            if name in asked
        ]
    elif SHAPE in asked and found.table is None:
        detail = f"shape is that of a table; name it: table={FIGURES}."
        errors.append({"input": SHAPE, "detail": detail, "suggestion": f"table={FIGURES}"})
    elif found.shape == "long" and found.table != FIGURES:
        detail = f"The table {found.table} has one shape only; {FIGURES} can be long."
        errors.append({"input": SHAPE, "detail": detail, "received": found.shape})
    if found.form == "json" and DIALECT in asked:
        errors.append({"input": DIALECT, "detail": "JSON has no dialects; leave out dialect."})
    return errors
