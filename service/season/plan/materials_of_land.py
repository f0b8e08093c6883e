"""What the land takes: nitrogen on grass that is shut, and the repair of ground after winter."""

from collections.abc import Iterator
from datetime import date

from service.costing.averages import mean_of
from service.costing.methods.stockpile_grazing import StockpileGrazing
from service.costing.units import NEGLIGIBLE, SEVERITIES
from service.costing.wording import amount, listed, named, sentence
from service.season.dates import days_after
from service.season.figures import figure_of
from service.season.plan.anchors import by_closing, next_end_of_growth, next_winter, shut_grass
from service.season.plan.dated import numbered
from service.season.plan.priced import days_ahead, given_price, table_price
from service.season.plan.records import Material
from service.season.planning import practice_standards
from service.season.subject import SeasonSubject

DAMAGE = {
    "light": "prints under 2 in, sod holds",
    "moderate": "prints of 2 to 4 in, less than half bare",
    "severe": "deeper prints, or more than half bare",
}


def nitrogen(subject: SeasonSubject) -> Iterator[Material]:
    """Yield nitrogen and its spreading, for each day on which fields are shut."""
    fed = [grass for grass in shut_grass(subject) if grass.step.nitrogen_lb_per_acre > 0]
    for position, together in enumerate(by_closing(fed)):
        closing, steps = together[0].closing.day, [grass.step for grass in together]
        yield _nitrogen(subject, closing, steps, numbered("nitrogen", position))
        yield _spreading(subject, closing, steps, numbered("nitrogen_spreading", position))


def _nitrogen(
    subject: SeasonSubject, closing: date, steps: list[StockpileGrazing], key: str
) -> Material:
    quantity = sum(step.acres * step.nitrogen_lb_per_acre for step in steps)
    price = given_price(subject, "prices.nitrogen_per_lb", subject.scenario.prices.nitrogen_per_lb)
    rates = listed(
        f"{amount(step.nitrogen_lb_per_acre)} lb an acre on "
        f"{amount(step.acres)} acres of {_field(subject, step)}"
        for step in steps
    )
    return Material(
        key=key,
        title="Nitrogen (N)",
        quantity=quantity,
        unit="lb",
        price=price.value,
        cost=price.of(quantity),
        price_origin=price.origin,
        quote_date=None,
        for_what=_fields(subject, steps),
        needed_by=days_ahead(closing, "lead.order_nitrogen"),
        practices=practice_standards().of("nitrogen"),
        practice_source=practice_standards().cited,
        note=(
            f"{rates}. Pounds of N: for pounds of a fertilizer divide by its share of N. "
            "Given with the plan of the system."
        ),
    )


def _spreading(
    subject: SeasonSubject, closing: date, steps: list[StockpileGrazing], key: str
) -> Material:
    quantity = sum(step.acres for step in steps)
    price = table_price(subject, "stockpile.spreading_cost_per_acre")
    return Material(
        key=key,
        title="Spreading nitrogen",
        quantity=quantity,
        unit="acre",
        price=price.value,
        cost=price.of(quantity),
        price_origin=price.origin,
        quote_date=None,
        for_what=_fields(subject, steps),
        needed_by=closing,
        practices=(),
        practice_source="",
        note="Acres that are shut and get nitrogen; a custom spreader's rate.",
    )


def repair(subject: SeasonSubject) -> Iterator[Material]:
    """Yield seed and repair of the ground that winter damages, by how badly."""
    means = subject.result["quantities"]["acres_damaged"]
    for severity in reversed(SEVERITIES):
        if means[severity] >= figure_of("least.acres").usual:
            yield _repair(subject, severity, means[severity])


def _repair(subject: SeasonSubject, severity: str, acres: float) -> Material:
    price = table_price(subject, f"restoration.cost_per_acre.{severity}")
    practices = practice_standards().of(f"repair_{severity}")
    return Material(
        key=f"repair_{severity}",
        title=f"Seed and repair, {severity} damage",
        quantity=acres,
        unit="acre",
        price=price.value,
        cost=price.of(acres),
        price_origin=price.origin,
        quote_date=None,
        for_what=_damaged_fields(subject, severity),
        needed_by=_repair_day(subject, severity),
        practices=practices,
        practice_source=practice_standards().cited if practices else "",
        note=(
            f"{sentence(severity)}: {DAMAGE[severity]}. Acres in the mean of the winters: walk the "
            "ground in spring and count again before you buy. The price is all-in: seed, work "
            "and machines."
        ),
    )


def _repair_day(subject: SeasonSubject, severity: str) -> date:
    """Return the day of repair: in spring, but for perennial grass on severe damage in autumn."""
    if severity != "severe":
        return days_after(subject.season.last_day, figure_of("after.repair").usual)
    dormancy = next_end_of_growth(subject)
    if dormancy is not None:
        return days_ahead(dormancy.day, "lead.seed")
    return days_ahead(next_winter(subject).day, "lead.seed_before_winter")


def _damaged_fields(subject: SeasonSubject, severity: str) -> str:
    place, names = SEVERITIES.index(severity), list[str]()
    for key, damage in subject.costed.damage.by_field.items():
        acres = mean_of(subject.costing.winters, damage.acres)
        if float(acres[place].reshape(-1)[0]) > NEGLIGIBLE:
            names.append(named(subject.scenario.land.fields[key].title, key))
    return listed(names)


def _fields(subject: SeasonSubject, steps: list[StockpileGrazing]) -> str:
    return listed(_field(subject, step) for step in steps)


def _field(subject: SeasonSubject, step: StockpileGrazing) -> str:
    key = step.field or ""
    return named(subject.scenario.land.fields[key].title, key)
