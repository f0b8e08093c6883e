"""How large each structure is: as given, or by rule."""

from dataclasses import dataclass

from service.costing.case import Case
from service.costing.figure import Figure, constant
from service.costing.formulas.allocation import area_by_rule, largest
from service.costing.formulas.structures import larger_size, pieces_by_rule, size_added
from service.costing.formulas.sums import total
from service.costing.herd import Herd
from service.costing.places import fed_on
from service.costing.plan import System
from service.costing.structures import Structure

NO_AREA = constant(0.0, "sq ft")
RULED_BY_HEAD = ("waterer", "feeder")


@dataclass(slots=True)
class Size:
    """Size of one structure: what counts, what the rule says, and what exists already."""

    counted: Figure | None
    by_rule: Figure | None
    existing: Figure | None
    addition: Figure | None


def groups_of_step(herd: Herd, groups: list[str] | None) -> list[str]:
    """Return the groups of a step, in the order of the herd."""
    return [group for group in herd.groups if groups is None or group in groups]


def floor_sizes(case: Case, herd: Herd, head: Figure, name: str, system: System) -> dict[str, Size]:
    """Return the sizes of all floors of a system."""
    sizes: dict[str, Size] = {}
    for key, floor in system.floors.items():
        steps = _steps_on(herd, name, system, key)
        by_rule = None
        if steps:
            shares = [
                case.array(
                    [cell if group in groups else None for group in herd.groups],
                    (len(herd.groups), 1),
                    "fraction",
                )
                for groups, cell in steps
            ]
            used = [group for group in herd.groups if any(group in on for on, _ in steps)]
            by_rule = case.work(
                area_by_rule,
                head=head,
                space=herd.by_class(f"space.{floor.structure.kind}.<class>", used),
                share_of_herd=shares[0] if len(shares) == 1 else case.work(largest, *shares),
            )
        sizes[key] = sized(case, name, key, floor.structure, by_rule)
    return sizes


def sized(case: Case, name: str, key: str, structure: Structure, by_rule: Figure | None) -> Size:
    """Join the given, the existing and the ruled size of one structure."""
    unit = structure.size_unit
    path = f"systems.{name}.structures.{key}"
    given = (
        case.given(f"{path}.{structure.size_field}", structure.given_size, unit)
        if structure.given_size is not None
        else None
    )
    existing = (
        case.given(f"{path}.existing_{structure.size_field}", structure.existing_size, unit)
        if structure.existing_size is not None
        else None
    )
    counted = given or by_rule
    addition = None
    if existing is not None:
        if counted is None or _amount(counted) <= _amount(existing):
            counted = existing
        else:
            addition = case.work(size_added, wanted=counted, existing=existing)
            counted = case.work(larger_size, wanted=counted, existing=existing)
    return Size(counted, by_rule, existing, addition)


def pieces(case: Case, herd: Herd, head: Figure, kind: str) -> Figure:
    """Return the waterers or feeders that a herd needs."""
    return case.once(
        (kind, id(head)),
        lambda: case.work(
            pieces_by_rule, head=head, per_head=herd.by_class(f"space.{kind}.<class>")
        ),
    )


def open_pad_area(case: Case, system: System, sizes: dict[str, Size]) -> Figure:
    """Return the area of pads without a roof."""
    areas = [
        sizes[key].counted
        for key, floor in system.floors.items()
        if floor.structure.catches_rain and not floor.roofed
    ]
    known = [area for area in areas if area is not None]
    return case.work(total, *known) if known else NO_AREA


def _steps_on(
    herd: Herd, name: str, system: System, key: str
) -> list[tuple[list[str], tuple[str, float]]]:
    """Return the groups and the share of the herd of each step on a floor, and the share's path."""
    return [
        (
            groups_of_step(herd, step.groups),
            (f"systems.{name}.plan.{step_key}.share_of_herd", step.share_of_herd),
        )
        for step_key, step in system.steps.items()
        if key in (fed_on(step), step.resting_place)
    ]


def _amount(figure: Figure) -> float:
    value = figure.value
    return float(value if isinstance(value, float | int) else value.max())
