"""Hay from store to mouth, late-summer hay, supplement, and what they cost."""

from dataclasses import dataclass

from service.costing.allocation import dry_matter_of_bale, dry_matter_of_hay
from service.costing.charges import Charges
from service.costing.figure import Figure, constant
from service.costing.formulas.bale_grazing import acres_covered, bales_not_used
from service.costing.formulas.hay import (
    bales_of,
    feed_cost,
    hay_offered,
    hay_stored,
    worth_less_selling,
)
from service.costing.formulas.intake import supplement_fed
from service.costing.formulas.stockpile import (
    forage_given_up,
    nitrogen_cost,
    spreading_cost,
)
from service.costing.formulas.sums import (
    less,
    over_herd_and_states,
    over_states,
    portion,
    remainder,
    total,
)
from service.costing.grass import LateSummer, late_summer, nitrogen_of
from service.costing.run import StepRun, SystemRun

NO_FEED = constant(0.0, "lb DM")


@dataclass(slots=True)
class FeedRun:
    """Feed of one system, in lb DM of each winter."""

    hay_eaten: Figure
    hay_offered: Figure
    hay_stored: Figure
    hay_wasted: Figure
    hay_lost: Figure
    stockpile_eaten: Figure
    supplement: Figure
    eaten_by_group: Figure
    late_summer: LateSummer | None
    late_summer_hay: Figure


def feed_of(run: SystemRun, charges: Charges) -> FeedRun:
    """Work the feed of a system and charge for it."""
    work = run.case.work
    for step in run.steps:
        _feed_hay(run, step)
    hay_steps = [step for step in run.steps if step.waste is not None]
    offered_by_step = [step.offered for step in hay_steps if step.offered is not None]
    eaten = work(total, *[step.eaten_in_all for step in hay_steps]) if hay_steps else NO_FEED
    offered = work(total, *offered_by_step) if hay_steps else NO_FEED
    storage = run.system.hay_storage or run.case.scenario.hay.storage
    stored = work(
        hay_stored,
        offered=offered,
        storage_loss_fraction=run.case.reference(f"hay_storage_loss.{storage}"),
    )
    grass_steps = [step for step in run.steps if step.grass is not None]
    late = late_summer(run.case, run.herd, run.winters, run.head, run.key, run.system)
    feed = FeedRun(
        hay_eaten=eaten,
        hay_offered=offered,
        hay_stored=stored,
        hay_wasted=work(less, whole=offered, part=eaten),
        hay_lost=work(less, whole=stored, part=offered),
        stockpile_eaten=work(total, *[step.eaten_in_all for step in grass_steps])
        if grass_steps
        else NO_FEED,
        supplement=_supplement_of(run),
        eaten_by_group=work(total, *[work(over_states, amounts=step.eaten) for step in run.steps]),
        late_summer=late,
        late_summer_hay=late.caused if late else NO_FEED,
    )
    _charge_hay(run, charges, feed)
    _charge_supplement(run, charges, feed)
    _charge_stockpile(run, charges, feed, grass_steps)
    return feed


def _feed_hay(run: SystemRun, step: StepRun) -> None:
    """Work the hay of one step, from mouth back to bale."""
    work = run.case.work
    if step.waste is None:
        return
    by_group = work(hay_offered, eaten=step.eaten, waste_fraction=step.waste)
    step.offered_by_state = by_group
    step.offered = work(over_herd_and_states, amounts=by_group)
    step.wasted = work(less, whole=step.offered, part=step.eaten_in_all)
    step.bales = work(
        bales_of, dry_matter=step.offered, bale_dry_matter=dry_matter_of_bale(run.case)
    )
    if step.step.setting("bales_set_out") is None:
        return
    given = run.case.given
    step.acres_covered = work(
        acres_covered,
        bales=step.bales,
        spacing=given(f"{step.path}.spacing_ft", step.step.setting("spacing_ft"), "ft"),
    )
    step.bales_left = work(
        bales_not_used,
        set_out=given(f"{step.path}.bales_set_out", step.step.setting("bales_set_out"), "bale"),
        used=step.bales,
    )


def _supplement_of(run: SystemRun) -> Figure:
    parts = [
        run.case.work(supplement_fed, served=step.served, head=run.head, supplement=supplement)
        for step in run.steps
        if (supplement := run.herd.supplement(step.feed)) is not None
    ]
    return run.case.work(total, *parts) if parts else NO_FEED


def _charge_hay(run: SystemRun, charges: Charges, feed: FeedRun) -> None:
    case, work = run.case, run.case.work
    hay = case.scenario.hay
    dry_matter = dry_matter_of_hay(case)
    home = case.given("hay.home_grown_fraction", hay.home_grown_fraction, "fraction")
    has_home = "hay.home_grown_fraction" in case.varied or hay.home_grown_fraction > 0
    worth = _worth_of_home_grown(run) if has_home else None
    for line, amount in (
        ("hay_eaten", feed.hay_eaten),
        ("hay_wasted", feed.hay_wasted),
        ("hay_lost_in_storage", feed.hay_lost),
    ):
        bought = work(remainder, amount=amount, share=home)
        cost = work(
            feed_cost,
            dry_matter=bought,
            dry_matter_fraction=dry_matter,
            price=run.winters.hay_price,
        )
        charges.add(line, "paid", "hay", cost)
        if worth is None:
            continue
        made = work(portion, amount=amount, share=home)
        charges.add(
            line,
            "home_grown",
            "hay",
            work(feed_cost, dry_matter=made, dry_matter_fraction=dry_matter, price=worth),
        )
    if feed.late_summer is not None:
        cost = work(
            feed_cost,
            dry_matter=feed.late_summer_hay,
            dry_matter_fraction=dry_matter,
            price=run.winters.hay_price,
        )
        charges.add("late_summer_hay", "paid", "hay", cost)


def _worth_of_home_grown(run: SystemRun) -> Figure:
    hay = run.case.scenario.hay
    if hay.valued_at == "cost_to_make":
        return run.case.given("hay.cost_to_make_per_ton", hay.cost_to_make_per_ton, "currency/ton")
    return run.case.work(
        worth_less_selling,
        price=run.winters.hay_price,
        cost_to_sell=run.case.given(
            "hay.cost_to_sell_per_ton", hay.cost_to_sell_per_ton, "currency/ton"
        ),
    )


def _charge_supplement(run: SystemRun, charges: Charges, feed: FeedRun) -> None:
    supplement = run.case.scenario.supplement
    if supplement is None:
        return
    given = run.case.given
    cost = run.case.work(
        feed_cost,
        dry_matter=feed.supplement,
        dry_matter_fraction=given(
            "supplement.dry_matter_fraction", supplement.dry_matter_fraction, "fraction"
        ),
        price=given("supplement.price_per_ton", supplement.price_per_ton, "currency/ton"),
    )
    charges.add("supplement", "paid", "supplement", cost)


def _charge_stockpile(
    run: SystemRun, charges: Charges, feed: FeedRun, grass_steps: list[StepRun]
) -> None:
    case, work = run.case, run.case.work
    if not grass_steps:
        return
    prices = case.scenario.prices
    for step in grass_steps:
        acres = case.given(f"{step.path}.acres", step.step.setting("acres"), "acre")
        nitrogen = nitrogen_of(case, step.step, step.path)
        price = case.given("prices.nitrogen_per_lb", prices.nitrogen_per_lb, "currency/lb")
        cost = work(nitrogen_cost, acres=acres, nitrogen=nitrogen, price=price)
        charges.add("stockpile_fertilizer", "paid", "fertilizer", cost)
        spread = work(
            spreading_cost,
            acres=acres,
            nitrogen=nitrogen,
            cost_per_acre=case.reference("stockpile.spreading_cost_per_acre"),
        )
        charges.add("stockpile_fertilizer", "paid", None, spread)
    given_up = work(
        forage_given_up,
        plain=work(total, *[step.grass.plain for step in grass_steps if step.grass]),
        replaced=feed.late_summer_hay,
        forage_value=case.given(
            "land.forage_value_per_ton_dm",
            case.scenario.land.forage_value_per_ton_dm,
            "currency/ton DM",
        ),
    )
    charges.add("stockpile_forage", "forgone", "forage", given_up)
