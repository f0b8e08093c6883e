"""What the records of the cases are, for the description of the interface."""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class TrustModel(BaseModel):
    """A part of the records; nothing else is in it."""

    model_config = ConfigDict(extra="forbid")


class TrustPutIn(TrustModel):
    """One thing that was put in, and where it is from."""

    what: str
    value: str
    origin: Literal["printed", "derived", "neutral", "tables", "assumed"]


class TrustLine(TrustModel):
    """One printed result beside what the engine says."""

    what: str
    printed: str = Field(description="As the source prints it.")
    engine: float | str = Field(description="Words where an order is compared.")
    unit: str
    low: float | None = Field(description="Least that still agrees.")
    high: float | None = Field(description="Most that still agrees.")
    words: str | None = Field(description="What agrees, where words are compared.")
    allowed: str = Field(description="The allowed difference in words.")
    why: str = Field(description="Why they differ, or why nothing can be compared.")
    document: str
    settings: dict[str, float | str] = Field(description="What was set on the document.")
    own_sum: bool = Field(description="Whether agreement only says that both do the same sum.")
    outcome: Literal["agrees", "disagrees", "not_compared", "beside"]
    difference: float | None = Field(
        description="From the middle of what agrees, as a share of it."
    )


class TrustCase(TrustModel):
    """One published case."""

    key: str
    title: str
    source: str
    claim: Literal["reproduces_arithmetic", "agrees_with_measurement"]
    put_in: list[TrustPutIn]
    lines: list[TrustLine]
    shows: str
    not_printed: list[str]
    misprints: list[str]
    documents: list[str] = Field(description="Names, for `/trust/documents/{case}/{document}.json`")


class TrustCounts(TrustModel):
    """Lines by outcome, of the cases of one claim."""

    cases: int
    agrees: int
    disagrees: int
    not_compared: int
    beside: int = Field(description="Not printed by the source, shown beside what is.")


class TrustRecords(TrustModel):
    """Everything that the page shows."""

    claims: dict[str, str] = Field(description="What agreement is evidence of, by claim.")
    origins: dict[str, str] = Field(description="Where what was put in is from.")
    counts: dict[str, TrustCounts] = Field(description="By claim; never added up.")
    cases: list[TrustCase]
    unchecked: list[dict[str, str]] = Field(description="What no source could check.")
    not_rebuilt: list[dict[str, str]] = Field(description="Cases that could not be put in.")
    grades: dict[str, str] = Field(description="What each grade means, the best first.")
    review: dict[str, Any] = Field(
        description="Every reference value with its grade, and how far the doubtful ones move the "
        "lead of the cheapest system on four invented farms."
    )
