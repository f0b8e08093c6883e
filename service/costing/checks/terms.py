"""Faults of the terms on which structures stand: cost-share, and ground that is rented."""

from collections.abc import Iterator

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import exact
from service.costing.checks.question import Question
from service.costing.checks.structures import BY_LENGTH, exists, has_size, may_be_enlarged
from service.costing.errors import Fault
from service.costing.structures import Structure


def cost_share_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the cost-share of every structure."""
    horizon = question.scenario.finance.horizon_years
    for site in question.sites:
        for key, structure in site.system.structures.items():
            yield from _cost_share(site.path("structures", key, "cost_share"), structure, horizon)


def _cost_share(path: str, structure: Structure, horizon: float) -> Iterator[Fault]:
    terms = structure.cost_share
    if terms is None:
        return
    if exists(structure) and not may_be_enlarged(structure):
        yield Fault(
            path,
            "Cost-share is paid for what is built, and this exists already; leave cost_share out, "
            f"or give a larger {structure.size_field} than exists.",
        )
    if terms.rate is None and terms.per_unit is None:
        yield fault_of(
            terms,
            path,
            "rate",
            "The terms do not say how much is paid; give rate, or per_unit, or both.",
        )
    if terms.per_unit is not None and structure.kind in BY_LENGTH and not has_size(structure):
        yield fault_of(
            terms,
            path,
            "per_unit",
            f"Cost-share per {structure.size_unit} needs the size; give {structure.size_field}.",
        )
    if terms.payment_year > horizon:
        yield fault_of(
            terms,
            path,
            "payment_year",
            f"Cost-share would be paid in year {exact(terms.payment_year)}, after the "
            f"{exact(horizon)} years looked at; pay it sooner, or raise finance.horizon_years.",
            allowed=f"at least 0, at most {exact(horizon)}, a whole number",
        )


def tenure_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the ground that structures stand on."""
    fields = question.scenario.land.fields
    without_lease: dict[str, str] = {}
    for site in question.sites:
        for key, structure in site.system.structures.items():
            path = site.path("structures", key)
            name = structure.field
            if name is not None and name not in fields:
                yield question.unknown(f"{path}.field", "field", name, list(fields))
                continue
            field = fields[name] if name is not None else None
            rented = field is not None and field.tenure == "rented"
            if structure.left_value_agreed is not None and not rented:
                where = f"{name} is owned" if name else "no field is named"
                yield fault_of(
                    structure,
                    path,
                    "left_value_agreed",
                    f"left_value_agreed is what a landlord pays at the end, and {where}; leave it "
                    "out, or name a rented field.",
                )
            if name and field and rented and field.lease_years_left is None:
                without_lease.setdefault(name, f"{key} of system {site.key}")
    for name, standing in without_lease.items():
        yield fault_of(
            fields[name],
            f"land.fields.{name}",
            "lease_years_left",
            f"{name} is rented and {standing} stands on it, so the years of the lease that are "
            "left must be known.",
            allowed="at least 1",
        )
