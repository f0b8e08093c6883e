"""A document on its way to be kept: completed, read, checked, and put into its one text."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from service.costing.checks import faults_of
from service.costing.errors import Fault, InputError
from service.costing.input_paths import PLAN, item_names
from service.costing.json_shapes import is_array, is_object
from service.scenarios.canonical import canonical_text, plain, sha256_of, text_of
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.plain_text import storable, text_fault
from service.scenarios.records import Head, MadeBy, Revision
from service.scenarios.schema_upgrades import newest_schema
from service.scenarios.winters import opened, pinned, recorded

UNNAMED = "Unnamed farm"
LONGEST_REMARK = 500


@dataclass(frozen=True, slots=True)
class Draft:
    """A document that can be costed, ready to be kept."""

    document: Document
    text: str
    name: str
    external_id: str | None
    reference_edition: str
    remark: str | None

    def says_what(self, document: Document) -> bool:
        """Whether a document is word for word the same."""
        return self.text == canonical_text(document)

    def revision(
        self,
        desk: Desk,
        author: Caller,
        head: Head,
        made_by: MadeBy,
        made_from: int | None = None,
    ) -> Revision:
        """Return the revision at which a head stands with this document.

        Parameters
        ----------
        desk : Desk
            Knows the newest schema.
        author : Caller
            Who made it.
        head : Head
            As it will stand.
        made_by : str
            How it came about.
        made_from : int, optional
            The revision that was restored.
        """
        return Revision(
            scenario_id=head.id,
            number=head.revision,
            document_schema=newest_schema(desk.upgrades),
            document_sha256=sha256_of(self.text),
            reference_edition=self.reference_edition,
            made_by=made_by,
            made_from=made_from,
            author_id=author.credential_id,
            author_label=author.label,
            remark=self.remark,
            created_at=head.updated_at,
            document=self.text,
        )


def drafted(desk: Desk, office_id: str, document: object, remark: str | None = None) -> Draft:
    """Complete and check a document.

    Parameters
    ----------
    desk : Desk
        Reads it.
    office_id : str
        Whose weather records it may take its winters from.
    document : object
        As sent.
    remark : str, optional
        What the author says of it.

    Raises
    ------
    InputError
        If it cannot be costed as it stands, or the remark is too long; carries every fault.
    """
    faults = _faults_of_remark(remark)
    complete = completed(document, desk)
    try:
        scenario, found = opened(desk.read, complete, partial(recorded, desk, office_id))
    except InputError as error:
        raise InputError([*error.faults, *faults]) from None
    faults = [*faults_of(scenario), *_unstorable(complete), *faults]
    if faults:
        raise InputError(faults)
    sound = plain(pinned(complete, found))
    return Draft(
        document=sound,
        text=text_of(sound),
        name=(scenario.name or "").strip() or UNNAMED,
        external_id=scenario.external_id or None,
        reference_edition=sound["reference_edition"],
        remark=(remark or "").strip() or None,
    )


def completed(document: Any, desk: Desk) -> Any:  # noqa: ANN401 - as sent
    """Return a document with its reference edition and a key in every step.

    What is faulty is left as it is for whoever reads it.
    """
    if not is_object(document):
        return document
    complete = dict(document)
    if complete.get("reference_edition") is None:
        complete["reference_edition"] = desk.newest_edition()
    systems = complete.get("systems")
    if is_object(systems):
        complete["systems"] = {key: _with_keys(system) for key, system in systems.items()}
    return complete


def _with_keys(system: Any) -> Any:  # noqa: ANN401 - as sent
    plan = system.get(PLAN) if is_object(system) else None
    if not is_array(plan):
        return system
    return {**system, PLAN: keyed(plan)}


def keyed(plan: list[Any]) -> list[Any]:
    """Return a plan in which every step has a key; keys that were given stay whose they are."""
    taken = {step["key"] for step in plan if is_object(step) and isinstance(step.get("key"), str)}
    steps: list[Any] = []
    for step, name in zip(plan, item_names(PLAN, plan), strict=True):
        method = step.get("method") if is_object(step) else None
        if not isinstance(method, str) or step.get("key") is not None:
            steps.append(step)
            continue
        key, number = name, 1
        while key in taken:
            number += 1
            key = f"{method}_{number}"
        taken.add(key)
        steps.append({**step, "key": key})
    return steps


def _faults_of_remark(remark: str | None) -> list[Fault]:
    if remark is None or remark == "":
        return []
    fault = text_fault("remark", "The remark", remark, LONGEST_REMARK, lines=True)
    return [fault] if fault else []


def _unstorable(document: Document) -> list[Fault]:
    """Find what the document may hold but a column of its own cannot."""
    return [
        Fault(name, f"{name} must hold no control characters.")
        for name in ("name", "external_id")
        if isinstance(document.get(name), str) and not storable(document[name])
    ]
