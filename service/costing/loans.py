"""The loan for what is built and the bridge until cost-share comes: shown beside, never added."""

from typing import Any

import numpy as np

from service.costing.averages import number
from service.costing.engine import Costing, SystemCosting
from service.costing.formulas.loan import bridge_interest, loan_schedule
from service.costing.units import Array


def loan_of(costing: Costing, system: SystemCosting) -> dict[str, Any] | None:
    """Return the loan table of a system, or None where the scenario names no loan."""
    terms = costing.case.scenario.finance.loan
    built = money_up_front(system)
    if terms is None or built <= 0:
        return None
    principal = terms.amount if terms.amount is not None else built
    schedule = loan_schedule(principal, terms.rate, int(terms.years))
    bridge_rate = terms.bridge_rate if terms.bridge_rate is not None else terms.rate
    bridges = [
        {
            "structure": item.key,
            "amount": number(item.cost_share.value),
            "years": item.structure.cost_share.payment_year,
            "interest": float(
                bridge_interest(
                    number(item.cost_share.value),
                    bridge_rate,
                    item.structure.cost_share.payment_year,
                )
            ),
        }
        for item in system.construction.built
        if item.structure.cost_share is not None
    ]
    return {
        "principal": principal,
        "rate": terms.rate,
        "years": int(terms.years),
        "payment_by_year": schedule.payment.tolist(),
        "interest_by_year": schedule.interest.tolist(),
        "principal_by_year": schedule.principal.tolist(),
        "balance_by_year": schedule.balance.tolist(),
        "bridges": bridges,
    }


def money_up_front(system: SystemCosting) -> float:
    """Return what is built in year 0, before cost-share."""
    return number(money_up_front_by_draw(system))


def money_up_front_by_draw(system: SystemCosting) -> Array:
    """Return what is built in year 0, before cost-share, shape (draws,)."""
    building = system.construction.building
    return np.zeros(1) if building is None else building.value[0].sum(axis=0)[:, 0]
