"""The published shapes of questions that were asked, with how far the work on them is.

For the description of the interface alone, like ``answer_models``.
"""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from service.analysis.questions import QUESTIONS
from service.scenarios.records import JobState
from service.web.answer_models import Kept, Next, Problem
from service.web.herd_result_models import HerdSizeResult
from service.web.plan_result_models import PlansWithinLimitsResult
from service.web.result_models import (
    BreakEvenResult,
    RiskResult,
    SensitivityResult,
    WinterTypesResult,
)

QuestionName = Annotated[str, Field(json_schema_extra={"enum": list(QUESTIONS)})]
RequestAsked = Annotated[
    dict[str, Any],
    Field(description="The question with every default written out; can be sent again as it is."),
]
Seed = Annotated[int | None, Field(description="Null where nothing is drawn by chance.")]
Warnings = Annotated[list[str], Field(description="What must be known beside the numbers.")]
Result = (
    BreakEvenResult
    | SensitivityResult
    | RiskResult
    | WinterTypesResult
    | HerdSizeResult
    | PlansWithinLimitsResult
)


class Progress(Kept):
    """How far the work is; what is done never falls."""

    done: int
    total: int
    unit: Literal["part"]


class AnalysisItem(Kept):
    """A question that was asked of a scenario, without its answer."""

    id: str
    scenario: str
    revision: int
    question: QuestionName
    state: JobState
    progress: Progress
    cancel_requested_at: datetime | None
    engine_version: str
    reference_edition: str
    seed: Seed
    content_key: str = Field(
        description="The same for the same question, revision, winters, engine and edition."
    )
    request: RequestAsked
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    expires_at: datetime = Field(description="When it is forgotten.")


class Analysis(AnalysisItem):
    """A question that was asked of a scenario, with its answer as soon as there is one."""

    result: Result | None = Field(description="Null until it is done.")
    warnings: Warnings
    problem: Problem | None = Field(description="What went wrong, where it failed.")


class AnalysisList(Kept):
    """A page of questions, the newest first."""

    items: list[AnalysisItem]
    next: Next


class UnsavedAnalysis(Kept):
    """The answer to a question of which nothing is kept."""

    question: QuestionName
    scenario: str | None = Field(description="Null where a document was asked about.")
    revision: int | None
    engine_version: str
    reference_edition: str
    seed: Seed
    request: RequestAsked
    result: Result
    warnings: Warnings


QUESTION_ANSWERS: tuple[type[BaseModel], ...] = (Analysis, AnalysisList, UnsavedAnalysis)
