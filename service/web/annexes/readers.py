"""The annex of each reader: which blocks, in which order."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from service.costing.cautions import DISCLAIMER
from service.web.annexes import (
    cash,
    changes,
    farm_and_herd,
    holding,
    method,
    open_questions,
    request,
    space_and_solids,
    water_and_surface,
    works,
)
from service.web.annexes.annex import Annex, Block, sources_block
from service.web.annexes.subject import NOTHING, AnnexSubject, Document

STATUS = "Planning basis, needs field survey"
MONEY_CAUTIONS = (
    "cost_share_contract",
    "landlord_consent",
    "licensed_engineer",
    "confined_45_days",
)


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads an annex, and what stands in it."""

    title: str
    blocks: Sequence[Callable[[AnnexSubject], Block]]


READERS: Mapping[str, Reader] = {
    "engineer": Reader(
        "Basis of design",
        (
            farm_and_herd.farm_block,
            farm_and_herd.herd_block,
            farm_and_herd.pens_block,
            space_and_solids.rules_block,
            space_and_solids.space_block,
            space_and_solids.drinking_block,
            space_and_solids.solids_block,
            space_and_solids.storage_block,
            water_and_surface.runoff_block,
            water_and_surface.surface_block,
            works.quantities_block,
            works.materials_block,
            works.practices_block,
            works.upkeep_block,
            open_questions.site_block,
            open_questions.not_included_block,
            works.care_block,
            open_questions.cautions_block,
        ),
    ),
    "lender": Reader(
        "For lender and economist",
        (
            request.request_block,
            request.cost_share_block,
            cash.cash_block,
            cash.repayment_block,
            method.method_block,
            changes.swings_block,
            changes.break_even_block,
            method.risk_block,
            method.assumed_block,
            holding.herd_block,
            holding.security_block,
            holding.unanswered_block,
            partial(open_questions.cautions_block, wanted=MONEY_CAUTIONS),
        ),
    ),
}


def annex_of(reader: str, subject: AnnexSubject) -> Annex:
    """Return the annex of a reader about one system.

    Parameters
    ----------
    reader : str
        ``engineer`` or ``lender``.
    subject : AnnexSubject
        The system and its costing.
    """
    chosen, shown = READERS[reader], subject.shown
    blocks = [block(subject) for block in chosen.blocks]
    about: dict[str, Any] = {
        "scenario": subject.scenario_id,
        "revision": subject.revision,
        "farm": subject.scenario.name,
        "system": subject.key,
        "system_title": shown["title"],
        "baseline": subject.scenario.baseline,
        "baseline_title": subject.shown_today["title"],
        "engine_version": subject.body["engine_version"],
        "reference_edition": subject.body["reference_edition"],
        "currency": subject.currency,
    }
    return Annex(
        reader=reader,
        title=chosen.title,
        status=STATUS,
        disclaimer=DISCLAIMER,
        about=about,
        blocks=[*blocks, sources_block(blocks)],
    )


def default_system(body: Document) -> str:
    """Return the best system that builds something, else the best."""
    ranked = sorted(body["systems"], key=lambda system: system["rank"])
    building = [system for system in ranked if system["first_cost"] > NOTHING]
    return (building or ranked)[0]["system"]
