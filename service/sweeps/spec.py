"""What can be wrong with a sweep as a whole, and the columns of its answer.

A farm that cannot be costed is no fault of the sweep: it becomes a row that says so.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from itertools import product

from service.costing.errors import Fault, nearest
from service.costing.figures_catalog import figures
from service.costing.finance import Limits
from service.costing.input_paths import LONGEST_NAME, item_names
from service.costing.json_shapes import is_array, is_object
from service.costing.overrides import applied
from service.costing.units import NUTRIENTS, SEVERITIES, STATES
from service.sweeps.records import MOST_ROWS, Document, SweepSpec

BEFORE_FIGURES = ("row", "external_id")
AFTER_FIGURES = ("status", "problem")
SYSTEM = "system"
TOTALS = ("quantities.acres_damaged", "quantities.served_days.<step>")
"""Maps whose parts have one unit and may be asked for together."""

DAYS = ("ordinary_day", "wet_day", "busiest_day")
WORKERS = ("own", "hired", "custom")
ONLY_WINTER = "1"
"""What a winter is called where a scenario lists none."""


def columns(spec: SweepSpec) -> tuple[str, ...]:
    """Return the names of the columns, in their order."""
    return (*BEFORE_FIGURES, *spec.paths, SYSTEM, *spec.figures, *AFTER_FIGURES)


def faults_of_sweep(spec: SweepSpec) -> list[Fault]:
    """Return everything that is wrong with a sweep as a whole.

    Parameters
    ----------
    spec : SweepSpec
        The sweep.

    Returns
    -------
    list of Fault
        Paths of inputs stand as they are sent; those of varied ones begin with ``vary.``.
    """
    return [*_size_faults(spec), *_path_faults(spec), *_figure_faults(spec)]


def _size_faults(spec: SweepSpec) -> Iterator[Fault]:
    for path, values in spec.vary.items():
        if not values:
            yield Fault(f"vary.{path}", "There is no value to try; give one or leave this out.")
    if spec.costings > MOST_ROWS:
        yield Fault(
            "farms",
            f"{len(spec.farms)} farms with {spec.settings} settings each are {spec.costings} "
            f"costings; send at most {MOST_ROWS} in one sweep.",
            received=spec.costings,
            allowed=f"at most {MOST_ROWS}",
        )


def _path_faults(spec: SweepSpec) -> Iterator[Fault]:
    set_for_farms = {path for farm in spec.farms for path in farm.set}
    for path in spec.paths:
        _, found = applied(spec.document, {path: None})
        for fault in found:
            place = f"vary.{path}" if path in spec.vary else path
            yield Fault(place, fault.detail, received=path, suggestion=fault.suggestion)
        if path in spec.vary and path in set_for_farms:
            yield Fault(f"vary.{path}", f"Farms set {path} too; give it in one of the two places.")


def _figure_faults(spec: SweepSpec) -> Iterator[Fault]:
    if not spec.figures:
        yield Fault("figures", "There is no figure to answer with; name at least one.")
    known = known_figures(spec.document)
    for figure in dict.fromkeys(spec.figures):
        if figure not in known:
            word = figure[:LONGEST_NAME]
            near = nearest(word, known)
            hint = f"did you mean {near}?" if near else "the catalogue of figures lists them."
            yield Fault(
                "figures", f"There is no figure {word!r}; {hint}", received=word, suggestion=near
            )
        if spec.figures.count(figure) > 1:
            yield Fault("figures", f"{figure} is named more than once.", received=figure)


def known_figures(document: Document) -> tuple[str, ...]:
    """Return the path of every figure that a costing of a scenario may have.

    Parameters
    ----------
    document : dict
        The scenario; settings change values and add no group, step or winter.
    """
    names = _names(document)
    patterns = [figure.path for figure in figures()] + [f"{path}.total" for path in TOTALS]
    return tuple(path for pattern in patterns for path in _filled_in(pattern, names))


def _filled_in(pattern: str, names: Mapping[str, Sequence[str]]) -> Iterator[str]:
    choices = [
        names[part[1:-1]] if part.startswith("<") else (part,) for part in pattern.split(".")
    ]
    for parts in product(*choices):
        yield ".".join(parts)


def _names(document: Document) -> dict[str, Sequence[str]]:
    """Return what each placeholder of the catalogue of figures may stand for."""
    herd, systems = document.get("herd"), document.get("systems")
    winter = document.get("winter")
    plans = [
        system.get("plan")
        for system in (systems.values() if is_object(systems) else ())
        if is_object(system)
    ]
    rows = winter.get("rows") if is_object(winter) else None
    steps = [name for plan in plans if is_array(plan) for name in item_names("plan", plan)]
    return {
        "group": list(herd) if is_object(herd) else [],
        "step": list(dict.fromkeys(steps)),
        "season": item_names("rows", rows) if is_array(rows) else [ONLY_WINTER],
        "state": STATES,
        "severity": SEVERITIES,
        "nutrient": NUTRIENTS,
        "day": DAYS,
        "worker": WORKERS,
        "limit": [field.name for field in fields(Limits)],
    }
