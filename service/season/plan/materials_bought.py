"""Feed and bedding to buy for a winter."""

from collections.abc import Iterator

import numpy as np

from service.costing.allocation import dry_matter_of_bale
from service.costing.averages import largest, mean, number, winters_of
from service.costing.formulas.hay import bales_to_buy
from service.costing.units import NEGLIGIBLE, POUNDS_PER_TON
from service.costing.wording import amount, count, listed, named, share
from service.season.plan.anchors import shut_grass
from service.season.plan.priced import Price, days_ahead, given_price
from service.season.plan.records import Material
from service.season.subject import SeasonSubject

WINTER_FEEDING = "Winter feeding"
TODAY = "The price is the one given, as of today."


def hay(subject: SeasonSubject) -> Iterator[Material]:
    """Yield the bales that are short, if any."""
    bales = subject.result["quantities"]["bales"]
    quantity = bales["to_buy_mean"]
    if quantity <= 0:
        return
    price = _price_per_bale(subject)
    note = (
        f"{amount(bales['needed_mean'])} bales needed in the mean of the winters less "
        f"{amount(bales['on_hand'])} on hand, in whole bales; "
        f"{count(bales['to_buy_worst'])} in the worst of them. {TODAY}"
    )
    own = subject.scenario.hay.home_grown_fraction
    if own > 0 and bales["on_hand"] == 0:
        note += f" No bales on hand were given, though {share(own)} of the hay is the farm's own."
    yield Material(
        key="hay",
        title="Hay",
        quantity=quantity,
        unit="bale",
        price=price.value,
        cost=price.of(quantity),
        price_origin=price.origin,
        quote_date=None,
        for_what=WINTER_FEEDING,
        needed_by=days_ahead(subject.season.first_day, "lead.buy_hay"),
        practices=(),
        practice_source="",
        note=note,
    )


def late_summer_hay(subject: SeasonSubject) -> Iterator[Material]:
    """Yield the bales that replace grass of the acres that are shut, if there is a year for it."""
    winters, figure = subject.costing.winters, subject.costed.feed.late_summer_hay
    bale = number(dry_matter_of_bale(subject.costing.case).value)
    quantity = float(bales_to_buy(mean(winters, figure) / bale))
    if quantity <= 0:
        return
    each = winters_of(winters, figure).reshape(-1, len(winters.seasons))[0]
    none = int(np.count_nonzero(each <= NEGLIGIBLE))
    most = float(bales_to_buy(largest(winters, figure) / bale))
    price = _price_per_bale(subject)
    yield Material(
        key="late_summer_hay",
        title="Hay for late summer",
        quantity=quantity,
        unit="bale",
        price=price.value,
        cost=price.of(quantity),
        price_origin=price.origin,
        quote_date=None,
        for_what="Late summer, while fields are shut",
        needed_by=min(grass.closing.day for grass in shut_grass(subject)),
        practices=(),
        practice_source="",
        note=(
            f"Mean of the winters, in whole bales. Needed in {len(each) - none} of {len(each)}, up "
            f"to {count(most)} in one: buy it only when the late summer turns out dry. {TODAY}"
        ),
    )


def supplement(subject: SeasonSubject) -> Iterator[Material]:
    """Yield the supplement as fed, if the scenario names one."""
    feed, winters = subject.scenario.supplement, subject.costing.winters
    if feed is None:
        return
    per_ton = POUNDS_PER_TON * feed.dry_matter_fraction
    quantity = mean(winters, subject.costed.feed.supplement) / per_ton
    if quantity <= NEGLIGIBLE:
        return
    most = largest(winters, subject.costed.feed.supplement) / per_ton
    price = given_price(subject, "supplement.price_per_ton", feed.price_per_ton)
    yield Material(
        key="supplement",
        title=named(feed.title, "Supplement"),
        quantity=quantity,
        unit="ton",
        price=price.value,
        cost=price.of(quantity),
        price_origin=price.origin,
        quote_date=None,
        for_what=WINTER_FEEDING,
        needed_by=days_ahead(subject.season.first_day, "lead.order_supplement"),
        practices=(),
        practice_source="",
        note=f"As fed, in the mean of the winters; up to {amount(most)} tons in one. {TODAY}",
    )


def bedding(subject: SeasonSubject) -> Iterator[Material]:
    """Yield the bedding of the floors in use, if they are bedded."""
    winters = subject.costing.winters
    floors = [floor for floor in subject.costed.floors if mean(winters, floor.bedding) > 0]
    quantity = sum(mean(winters, floor.bedding) for floor in floors) / POUNDS_PER_TON
    if quantity <= NEGLIGIBLE:
        return
    each = sum(winters_of(winters, floor.bedding) for floor in floors)
    most = float(np.max(each)) / POUNDS_PER_TON
    price = given_price(subject, "prices.bedding_per_ton", subject.scenario.prices.bedding_per_ton)
    yield Material(
        key="bedding",
        title="Bedding",
        quantity=quantity,
        unit="ton",
        price=price.value,
        cost=price.of(quantity),
        price_origin=price.origin,
        quote_date=None,
        for_what=listed(named(floor.floor.structure.title, floor.floor.key) for floor in floors),
        needed_by=days_ahead(subject.season.first_day, "lead.order_bedding"),
        practices=(),
        practice_source="",
        note=f"As bought, in the mean of the winters; up to {amount(most)} tons in one. {TODAY}",
    )


def _price_per_bale(subject: SeasonSubject) -> Price:
    given = subject.scenario.hay
    if given.price_per_bale is not None:
        return given_price(subject, "hay.price_per_bale", given.price_per_bale)
    per_ton = given_price(subject, "hay.price_per_ton", given.price_per_ton or 0.0)
    return Price(per_ton.of(given.bale_weight_lb / POUNDS_PER_TON), per_ton.origin)
