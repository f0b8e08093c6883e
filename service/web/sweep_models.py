"""Sweeps over HTTP: what is asked and what is answered, one declaration each."""

from datetime import datetime
from typing import Any, Literal

from pydantic import BaseModel, Field

from service.scenarios.records import JobState
from service.scenarios.sweeps import LONGEST_EXTERNAL_ID
from service.sweeps.records import DEFAULT_FIGURES, MOST_ROWS
from service.web.answer_models import Kept, Next
from service.web.question_models import LARGEST_SEED

SWEEP_REQUEST: dict[str, Any] = {
    "title": "SweepRequest",
    "type": "object",
    "description": f"Many farms or settings of one scenario; at most {MOST_ROWS:,} costings, farms "
    "times settings.",
    "properties": {
        "document": {"$ref": "#/components/schemas/Scenario"},
        "scenario": {"type": "string", "description": "Id of a stored scenario, instead."},
        "farms": {
            "type": "array",
            "description": "How each farm differs from the scenario; without it the scenario alone "
            "is the farm.",
            "items": {"$ref": "#/components/schemas/SweepFarm"},
        },
        "vary": {
            "type": "object",
            "description": "Values to be tried on each farm, by input path: every combination of "
            "them, the last path fastest.",
            "additionalProperties": {"type": "array", "items": {}, "minItems": 1},
        },
        "figures": {
            "type": "array",
            "description": "Figures of a system, as in /v1/figures, a column each; of acres "
            "damaged and of days served also `.total`.",
            "items": {"type": "string"},
            "minItems": 1,
            "default": list(DEFAULT_FIGURES),
        },
        "seed": {
            "type": "integer",
            "minimum": 0,
            "maximum": LARGEST_SEED,
            "default": 0,
            "description": "Of what is drawn by chance: the same seed gives the same answer.",
        },
    },
    "oneOf": [{"required": ["document"]}, {"required": ["scenario"]}],
    "additionalProperties": False,
}
SWEEP_FARM: dict[str, Any] = {
    "title": "SweepFarm",
    "type": "object",
    "description": "One farm of a sweep.",
    "properties": {
        "external_id": {
            "type": "string",
            "minLength": 1,
            "maxLength": LONGEST_EXTERNAL_ID,
            "description": "What the farm is called elsewhere; stands in its rows.",
        },
        "set": {
            "type": "object",
            "description": "Value by input path; null goes back to the default.",
            "additionalProperties": {},
        },
    },
    "additionalProperties": False,
}
SWEEPS_WRITTEN_OUT = (SWEEP_REQUEST, SWEEP_FARM)


class SweepProgress(Kept):
    """How far a sweep is; what is done never falls."""

    done: int
    total: int
    unit: Literal["chunk"]


class Sweep(Kept):
    """A sweep, as far as it is."""

    id: str
    scenario: str | None = Field(description="Null where the base came with the request.")
    revision: int | None
    state: JobState
    progress: SweepProgress
    farms: int
    costings: int = Field(description="Farms times settings.")
    rows: int = Field(description="Rows of the results so far.")
    failed_rows: int = Field(description="Those of them that are refused or failed.")
    columns: list[str] = Field(description="Columns of the results.")
    figures: list[str]
    vary: dict[str, list[Any]]
    seed: int
    results: str = Field(description="Address of the results.")
    cancel_requested_at: datetime | None
    engine_version: str
    reference_edition: str
    content_key: str = Field(
        description="The same for the same farms, base, figures, seed, engine and edition."
    )
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    expires_at: datetime = Field(description="When it is forgotten.")
    problem: dict[str, Any] | None = Field(description="What went wrong, where it failed.")


class SweepList(Kept):
    """A page of sweeps, the newest first."""

    items: list[Sweep]
    next: Next


class SweepFault(Kept):
    """One thing that is wrong with a farm."""

    input: str
    detail: str
    received: Any = None
    allowed: str | None = None
    unit: str | None = None
    suggestion: str | None = None


class SweepProblem(Kept):
    """A row that could not be costed."""

    row: int
    external_id: str | None
    faults: list[SweepFault]


class SweepProblemList(Kept):
    """A page of rows that could not be costed, in their order."""

    items: list[SweepProblem]
    next: Next


SWEEP_ANSWERS: tuple[type[BaseModel], ...] = (Sweep, SweepList, SweepProblemList)
