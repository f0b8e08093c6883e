"""The published shapes of what is kept, for the description of the interface alone.

Nothing is checked against these on the way out; tests do that.
"""

from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from service.scenarios.records import Access, CredentialKind, MadeBy

Next = Annotated[
    str | None, Field(description="Address of the next page; null on the last, as in Link.")
]


class Kept(BaseModel):
    """What all shapes share: no member that is not declared."""

    model_config = ConfigDict(extra="forbid")


class Author(Kept):
    """The key or link that made something."""

    id: str
    label: str


class Origin(Kept):
    """What a copy was made from."""

    scenario: str
    revision: int


class KeptScenario(Kept):
    """A stored scenario with its newest document, or with that of the revision asked for."""

    id: str
    external_id: str | None
    name: str
    revision: int = Field(description="Number of the revision, from 1; in quotes it is the ETag.")
    reference_edition: str
    created_at: datetime
    updated_at: datetime
    made_by: MadeBy = Field(description="What made the revision.")
    made_from: int | None = Field(description="The revision that was restored.")
    author: Author
    remark: str | None
    origin: Origin | None
    document: dict[str, Any] = Field(description="The scenario document, as posted.")


class ScenarioItem(Kept):
    """A stored scenario in a list."""

    id: str
    external_id: str | None
    name: str
    revision: int
    created_at: datetime
    updated_at: datetime
    binned_at: datetime | None
    origin: Origin | None


class ScenarioList(Kept):
    """A page of scenarios."""

    items: list[ScenarioItem]
    next: Next


class RevisionItem(Kept):
    """A revision without its document."""

    revision: int
    reference_edition: str
    document_sha256: str
    made_by: MadeBy
    made_from: int | None
    author: Author
    remark: str | None
    created_at: datetime


class RevisionList(Kept):
    """A page of revisions, the newest first."""

    items: list[RevisionItem]
    next: Next


class KeptRevision(RevisionItem):
    """A revision; it never changes."""

    scenario: str
    document: dict[str, Any]


class Me(Kept):
    """What a key or link may do."""

    office: str = Field(description="Name of the office.")
    kind: CredentialKind
    access: Access
    label: str
    expires_at: datetime
    scenario: str | None = Field(description="The scenario that a link opens; null for a key.")


class Key(Kept):
    """An office key; its token is not kept."""

    id: str
    access: Literal["read", "write", "admin"]
    label: str
    hint: str = Field(description="How its token begins.")
    created_at: datetime
    created_by: str = Field(description="Id of the key that made it, or operator.")
    expires_at: datetime
    revoked_at: datetime | None
    last_used_on: date | None
    seen_in_url_at: datetime | None = Field(
        description="When its token was last seen in an address, where it must not stand."
    )


class NewKey(Key):
    """A new office key, with its token."""

    token: str = Field(description="Shown this once.")


class KeyList(Kept):
    """A page of keys, the oldest first."""

    items: list[Key]
    next: Next


class ShareLink(Key):
    """A share link; its token is not kept."""

    access: Literal["read", "edit"]  # pyright: ignore[reportIncompatibleVariableOverride] - other words
    scenario: str


class NewLink(ShareLink):
    """A new share link, with its token."""

    token: str = Field(description="Shown this once.")
    url: str = Field(
        description="Address of the page that it opens: the farm's, or of an edit link the form of "
        "a winter as it was."
    )


class LinkList(Kept):
    """A page of share links, the oldest first."""

    items: list[ShareLink]
    next: Next


class ScenarioNote(Kept):
    """A remark about a revision, or about one input of it."""

    id: str
    revision: int
    input: str | None = Field(description="Path of the input, or of a part.")
    text: str
    author: Author
    created_at: datetime


class NoteList(Kept):
    """A page of notes, the oldest first."""

    items: list[ScenarioNote]
    next: Next


class AuditItem(Kept):
    """Who did what, by ids."""

    at: datetime
    credential: str = Field(description="Id of the key or link, or operator.")
    action: str
    object: str = Field(description="Id of what it was done to.")
    revision: int | None
    request_id: str


class AuditList(Kept):
    """A page of the audit, the newest first."""

    items: list[AuditItem]
    next: Next


class Erasure(Kept):
    """What was erased, and what is left."""

    scenario: str
    erased_at: datetime
    revisions: int
    costings: int
    notes: int
    links: int
    winters: int
    copies: list[str] = Field(description="Ids of copies of it that remain.")
    erased_copies: list[str]
    gone_from_files: bool = Field(
        description="Whether its text is gone from the database's files; if not, it goes with time."
    )
    backups_forget_on: date = Field(description="Day on which no backup holds it any more.")


class ProblemFault(Kept):
    """One fault."""

    pointer: str = Field("", description="JSON Pointer (RFC 6901) of the place in the body.")
    input: str = Field("", description="Path of the input.")
    cell: str = Field("", description="Sheet and cell, or line of CSV, of an answer sheet.")
    detail: str = Field(description="What to change, in a sentence.")
    received: Any = Field("", description="What was sent, shortened.")
    allowed: str = Field("", description="What can be sent.")
    unit: str = Field("", description="Unit of the value.")
    suggestion: str = Field("", description="Nearest known name or path.")


class Problem(Kept):
    """What went wrong (RFC 9457)."""

    type: str = Field(description="Address of the page about this kind of problem.")
    title: str
    status: int
    detail: str = ""
    errors: list[ProblemFault] = Field([], description="All faults at once.")
    errors_in_all: int = Field(0, description="Number of faults, where not all are listed.")
    request_id: str = ""
