"""A plan as a document, and its tasks as rows."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from service.season.plan.records import Amount, Material, Plan, Task

TASK_COLUMNS = (
    "key",
    "part",
    "when",
    "day",
    "last_day",
    "title",
    "what",
    "how_much",
    "amount",
    "unit",
    "of",
    "why",
    "rule",
    "anchor",
    "source",
    "mark",
    "week_late_cost",
    "week_late_basis",
    "week_late",
    "cautions",
)
MATERIAL_COLUMNS = (
    "key",
    "title",
    "quantity",
    "unit",
    "price",
    "cost",
    "price_origin",
    "quote_date",
    "for_what",
    "needed_by",
    "practices",
    "practice_source",
    "note",
)
CHECKPOINT_COLUMNS = ("key", "day", "bales_left", "words")
PLAN_TABLES: Mapping[str, tuple[str, ...]] = {
    "tasks": TASK_COLUMNS,
    "materials": MATERIAL_COLUMNS,
    "checkpoints": CHECKPOINT_COLUMNS,
}
"""Names of the columns of each table, in their order."""

Row = dict[str, str | float | None]
BETWEEN = "; "


def plan_document(plan: Plan) -> dict[str, Any]:
    """Return a plan ready for JSON: dates as YYYY-MM-DD, no number rounded."""
    document = {
        "system": plan.system,
        "title": plan.title,
        "season": asdict(plan.season),
        "currency": plan.currency,
        "tasks": [asdict(task) for task in plan.tasks],
        "materials": [asdict(material) for material in plan.materials],
        "hay": None if plan.hay is None else asdict(plan.hay),
        "cautions": [asdict(caution) for caution in plan.cautions],
        "notes": plan.notes,
    }
    return json.loads(json.dumps(document, default=date.isoformat))


def plan_rows(plan: Plan, table: str) -> list[Row]:
    """Return the rows of a table, with a value for each of its columns; no rounding.

    Parameters
    ----------
    plan : Plan
        The plan.
    table : str
        ``tasks``, ``materials`` or ``checkpoints``.
    """
    if table == "materials":
        return [_material_row(material) for material in plan.materials]
    if table == "checkpoints":
        found = plan.hay.checkpoints if plan.hay is not None else ()
        return [{**asdict(each), "day": each.day.isoformat()} for each in found]
    return [_row(task) for task in plan.tasks]


def _material_row(material: Material) -> Row:
    day = material.needed_by
    return {
        **asdict(material),
        "needed_by": None if day is None else day.isoformat(),
        "practices": BETWEEN.join(material.practices),
    }


def _row(task: Task) -> Row:
    first = task.how_much[0] if task.how_much else None
    return {
        "key": task.key,
        "part": task.part,
        "when": task.when,
        "day": task.day.isoformat(),
        "last_day": None if task.last_day is None else task.last_day.isoformat(),
        "title": task.title,
        "what": task.what,
        "how_much": BETWEEN.join(_said(amount) for amount in task.how_much),
        "amount": None if first is None else first.value,
        "unit": None if first is None else first.unit,
        "of": None if first is None else first.of,
        "why": task.reason.words,
        "rule": task.reason.rule,
        "anchor": task.reason.anchor,
        "source": task.reason.source,
        "mark": task.reason.mark,
        "week_late_cost": task.week_late.cost,
        "week_late_basis": task.week_late.basis,
        "week_late": task.week_late.words,
        "cautions": BETWEEN.join(task.cautions),
    }


def _said(amount: Amount) -> str:
    return f"{str(float(amount.value)).removesuffix('.0')} {amount.unit} {amount.of}"
