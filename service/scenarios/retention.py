"""What is not kept for ever: the bin, old costings, old answers, old entries of the audit.

Scenarios, their revisions and recorded winters never go by age.
"""

from collections.abc import Mapping
from datetime import timedelta

from service.scenarios.audit import operator_entry
from service.scenarios.desk import Desk
from service.scenarios.erasure import erased_for_good

BIN_DAYS = 30
COSTING_DAYS = 400
AUDIT_DAYS = 3 * 366
"""Three years; the database lets go of entries older than that."""

BATCH = 50
"""Scenarios that are erased in one transaction, so that others need not wait long."""


def tidy(desk: Desk) -> Mapping[str, int]:
    """Delete what has been kept for its time.

    Returns
    -------
    mapping of str to int
        How much of each kind: ``scenarios`` out of the bin, ``costings`` that were not opened,
        ``analyses`` and ``sweeps`` that have expired, ``replays`` and entries of the ``audit``.
    """
    scenarios = 0
    while batch := _empty_bin(desk):
        scenarios += batch
    now = desk.now()
    with desk.store.writing() as session:
        counts = {
            "scenarios": scenarios,
            "costings": session.costings.prune(now.date() - timedelta(days=COSTING_DAYS)),
            "analyses": session.jobs.prune(now),
            "sweeps": session.sweeps.prune(now),
            "replays": session.replays.prune(now),
            "audit": session.audit.prune(now - timedelta(days=AUDIT_DAYS)),
        }
    if any(counts.values()):
        desk.store.scrub()
    return counts


def _empty_bin(desk: Desk) -> int:
    """Erase some of what lies in the bin for too long; return how many."""
    with desk.store.writing() as session:
        heads = session.scenarios.binned_before(desk.now() - timedelta(days=BIN_DAYS), BATCH)
        erased_for_good(
            session,
            desk,
            [operator_entry(desk, head.office_id, "scenario.erase", head.id) for head in heads],
        )
    return len(heads)
