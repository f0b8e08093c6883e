"""The costing as a document: what callers read, in plain numbers and words."""

from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import numpy as np

from service.costing.alerts import notes_of, shortfalls_of, unusual_values, warnings_of
from service.costing.averages import mean, mean_of, number
from service.costing.cautions import cautions_of
from service.costing.check_first import check_first_of
from service.costing.companions import companions_of
from service.costing.comparison import (
    Standing,
    against_baseline,
    annual,
    by_winter,
    lines_of,
    standings_of,
)
from service.costing.document import content_key, inputs_used, origins_of
from service.costing.engine import Costing, SystemCosting
from service.costing.json_shapes import is_object
from service.costing.lines import LINES
from service.costing.loans import loan_of, money_up_front
from service.costing.margin import farm_margin, has_herd_change
from service.costing.quantities import quantities_of
from service.costing.units import POUNDS_PER_ANIMAL_UNIT, POUNDS_PER_TON, STATES
from service.costing.workings import workings_of

PACKAGE = "winterground"


def engine_version() -> str:
    """Return the version of the engine, that of the package."""
    try:
        return version(PACKAGE)
    except PackageNotFoundError:
        return "0+not.installed"


ENGINE_VERSION = engine_version()

Document = dict[str, Any]


def costing_document(
    costing: Costing,
    *,
    workings: bool = False,
    check_first: bool = True,
    given: Mapping[str, Any] | None = None,
) -> Document:
    """Return a costing as a document ready for JSON.

    Parameters
    ----------
    costing : Costing
        What the engine worked.
    workings : bool
        Whether to add how each line was made.
    check_first : bool
        Whether to look for the guesses to check first, by two more runs of the engine; none are
        told otherwise.
    given : mapping or None
        The scenario document as it was sent, to tell what was given from what was filled in.

    Returns
    -------
    dict
        Systems in the order of their rank; no number in it is infinite or not a number.
    """
    case = costing.case
    used = inputs_used(case)
    standings = standings_of(costing)
    order = sorted(standings, key=lambda key: standings[key].rank)
    days = mean_of(costing.winters, costing.winters.days)
    against = {
        key: against_baseline(costing, key) for key in order if key != case.scenario.baseline
    }
    document: Document = {
        "id": None,
        "content_key": content_key(used, ENGINE_VERSION),
        "engine_version": ENGINE_VERSION,
        "reference_edition": case.edition.name,
        "currency": case.scenario.currency,
        "inputs_used": used,
        "origins": origins_of(case, used, given),
        "winter": {
            "days": mean(costing.winters, costing.winters.total_days),
            "ground_days": {state: number(days[i]) for i, state in enumerate(STATES)},
            "winters": len(costing.winters.seasons),
            **_record_named(given),
        },
        "best_system": order[0],
        "ranked_by": "farm_margin" if has_herd_change(costing) else "annual_equivalent_cost",
        "trampling_scale": number(costing.scale.value),
        "check_first": check_first_of(costing) if check_first else None,
        "systems": [_system(costing, key, standings[key], against.get(key)) for key in order],
        "comparison": {
            "baseline": case.scenario.baseline,
            "against": list(against.values()),
        },
        "warnings": list(unusual_values(case)),
    }
    if workings:
        document["workings"] = workings_of(costing)
    return document


def _record_named(given: Mapping[str, Any] | None) -> dict[str, str]:
    """Return the weather record that the winters come from, and how it was classified."""
    winter = (given or {}).get("winter")
    if not is_object(winter):
        return {}
    return {
        name: winter[name]
        for name in ("weather_record", "weather_classifier")
        if winter.get(name) is not None
    }


def _system(costing: Costing, key: str, standing: Standing, against: Document | None) -> Document:
    system = costing.systems[key]
    account = system.account
    cost = annual(system)
    lines = lines_of(system)
    paid = account.paid_by_year.value[:, 0, 0]
    quantities = quantities_of(costing, system)
    document: Document = {
        "system": key,
        "title": system.run.system.title or key,
        "rank": standing.rank,
        "tie_with": standing.tie_with,
        "annual_equivalent_cost": cost,
        "out_of_pocket": number(account.out_of_pocket.value),
        "without_cost_share": cost - lines["cost_share"],
        "without_cost_share_figures": _without_cost_share(costing, system),
        **_unit_costs(costing, system, cost),
        "net_present_cost": number(account.net_present_cost.value),
        "first_year_cash": float(paid[0] + paid[1]),
        "peak_yearly_cash": float(paid.max()),
        "paid_by_year": paid.tolist(),
        "first_cost": money_up_front(system),
        "by_winter": [
            {"season": season, "annual_equivalent_cost": float(value)}
            for season, value in zip(
                costing.winters.seasons, by_winter(costing, system), strict=True
            )
        ],
        "cheapest_in_winters": standing.cheapest_in_winters,
        "lines": _lines(system),
        "quantities": quantities,
        "limits": _limits(costing, system, quantities),
        "structures": _structures(system),
        "companions": companions_of(costing, system),
        "shortfalls": shortfalls_of(costing, system),
        "warnings": warnings_of(costing, system),
        "cautions": cautions_of(costing, system),
        "notes": notes_of(costing, system),
    }
    if has_herd_change(costing):
        document["farm_margin"] = farm_margin(costing, key)
    if against is not None:
        document["against_baseline"] = {
            name: value
            for name, value in against.items()
            if name not in {"system", "by_line", "partial_budget"}
        }
    loan = loan_of(costing, system)
    if loan is not None:
        document["loan"] = loan
    return document


def _without_cost_share(costing: Costing, system: SystemCosting) -> Document:
    """Return the money figures as they stand if no cost-share is ever paid."""
    shared = lines_of(system)["cost_share"]
    position = list(LINES).index("cost_share")
    by_year = system.account.lines_by_year.value[:, position, 0, 0]
    paid = system.account.paid_by_year.value[:, 0, 0] - by_year
    factor = number(costing.money.capital_recovery.value)
    others = [annual(other) - lines_of(other)["cost_share"] for other in costing.systems.values()]
    cost = annual(system) - shared
    return {
        "annual_equivalent_cost": cost,
        "out_of_pocket": number(system.account.out_of_pocket.value) - shared,
        "net_present_cost": number(system.account.net_present_cost.value) - shared / factor,
        "first_year_cash": float(paid[0] + paid[1]),
        "peak_yearly_cash": float(paid.max()),
        "rank": 1 + sum(other < cost for other in others),
    }


def _unit_costs(costing: Costing, system: SystemCosting, cost: float) -> Document:
    """Split the cost by animal (as they eat), by animal-unit day and by ton eaten."""
    winters, herd = costing.winters, costing.herd
    eaten = mean_of(winters, system.feed.eaten_by_group)[:, 0, 0]
    head = system.run.head.value[:, 0, 0, 0]
    weight = herd.weight.value[:, 0, 0, 0]
    days = mean(winters, winters.total_days)
    units = float(np.sum(head * weight)) / POUNDS_PER_ANIMAL_UNIT
    whole = float(eaten.sum())
    return {
        "cost_per_head": {
            group: cost * float(eaten[i]) / whole / float(head[i]) if whole else 0.0
            for i, group in enumerate(herd.groups)
        },
        "cost_per_animal_unit_day": cost / (units * days),
        "cost_per_ton_dm_eaten": cost / (whole / POUNDS_PER_TON) if whole else None,
    }


def _lines(system: SystemCosting) -> list[Document]:
    account = system.account
    annual_equivalent = account.lines.value[:, 0, 0]
    by_year = account.lines_by_year.value[:, :, 0, 0]
    entries = account.annual_equivalents.value[:, 0, 0]
    by_kind: dict[str, dict[str, float]] = {key: {} for key in LINES}
    for entry, value in zip(account.entries, entries, strict=True):
        kinds = by_kind[entry.line]
        kinds[entry.kind] = kinds.get(entry.kind, 0.0) + float(value)
    return [
        {
            "line": key,
            "title": line.title,
            "group": line.group,
            "annual_equivalent": float(annual_equivalent[position]),
            "by_kind": by_kind[key],
            "by_year": by_year[:, position].tolist(),
        }
        for position, (key, line) in enumerate(LINES.items())
    ]


def _limits(costing: Costing, system: SystemCosting, quantities: Document) -> Document:
    limits = costing.case.scenario.limits
    values = {
        "money_up_front": money_up_front(system),
        "minutes_weekday": quantities["minutes"]["ordinary_day"],
        "acres_to_fix": sum(quantities["acres_damaged"].values()),
    }
    return {
        name: {
            "limit": limit,
            "value": values[name],
            "met": values[name] <= limit,
            "over": max(0.0, values[name] - limit),
        }
        for name in values
        if (limit := getattr(limits, name)) is not None
    }


def _structures(system: SystemCosting) -> list[Document]:
    construction = system.construction
    listed: list[Document] = []
    for item in construction.built:
        structure = item.structure
        parts = list(item.parts)
        entry: Document = {
            "key": item.key,
            "kind": structure.kind,
            "title": structure.title or item.key,
            "size": number(item.size.value),
            "size_unit": structure.size_unit,
            "size_by_rule": None if item.size_by_rule is None else number(item.size_by_rule.value),
            "existing": structure.existing or item.existing is not None,
            "cost": number(item.cost.value),
            "cost_share": number(item.cost_share.value),
            "build_by_year": _by_year(construction.building, parts),
            "upkeep_by_year": _by_year(construction.upkeep, parts),
            "life_years": number(item.addition.life.value),
        }
        if structure.quote_date is not None:
            entry["quote_date"] = structure.quote_date
        if structure.cost_share is not None:
            entry["cost_share_status"] = structure.cost_share.status
        listed.append(entry)
    return listed


def _by_year(flows: Any, parts: list[int]) -> list[float]:  # noqa: ANN401 - a figure or None
    return [] if flows is None else flows.value[:, parts, 0, 0].sum(axis=1).tolist()
