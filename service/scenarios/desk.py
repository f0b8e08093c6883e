"""The desk: what every act needs, and who stands before it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from service.costing.reference.table import newest_edition
from service.costing.result import ENGINE_VERSION
from service.costing.scenario import Scenario
from service.scenarios.clock import utc_now
from service.scenarios.records import Access, CredentialKind
from service.scenarios.repositories import Journal, Store
from service.scenarios.schema_upgrades import UPGRADES, Upgrade
from service.scenarios.tokens import Peppers
from service.season.facts import WinterFacts

Document = dict[str, Any]


def no_facts(document: Document) -> WinterFacts:
    """Refuse to read facts of a winter: where nobody records any."""
    del document
    message = "this desk was given no reader of facts"
    raise NotImplementedError(message)


@dataclass(frozen=True)
class Desk:
    """Where things are kept, how a document is read, which engine answers, what time it is."""

    store: Store
    journal: Journal
    read: Callable[[Document], Scenario]
    """Turn a document into a scenario or raise InputError with every fault."""
    peppers: Peppers
    now: Callable[[], datetime] = utc_now
    engine_version: str = ENGINE_VERSION
    newest_edition: Callable[[], str] = newest_edition
    upgrades: Mapping[int, Upgrade] = field(default_factory=lambda: UPGRADES)
    read_facts: Callable[[Document], WinterFacts] = no_facts
    """Turn the facts of a winter into what they mean or raise InputError with every fault."""
    executor: str = "serial"
    """What the chunks of sweeps are run on, as ``executor_of`` takes it."""


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks: a key or a link, known by its token."""

    credential_id: str
    office_id: str
    kind: CredentialKind
    access: Access
    label: str
    expires_at: datetime
    scenario_id: str | None = None
    request_id: str = ""


OPERATOR = "operator"
"""Stands in the audit for whoever runs the host."""
