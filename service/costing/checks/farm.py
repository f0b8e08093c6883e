"""Faults of herd, land, hay and finance."""

from collections.abc import Iterator

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import choice, exact
from service.costing.checks.question import Question
from service.costing.checks.winter import days_of_rows
from service.costing.errors import Fault
from service.costing.farm import AnimalLosses, Field, Group
from service.costing.finance import Finance
from service.costing.fodder import Hay
from service.costing.reference.setbacks import place_keys

GIVES_BIRTH = ("beef_cow", "bred_heifer", "ewe")
"""Classes of animal that can have young; the reference has their lactation and gestation."""

LEAST_REAL_RATE = -0.5


def farm_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the farm, systems and winter left aside."""
    scenario = question.scenario
    for key, group in scenario.herd.items():
        yield from _group(f"herd.{key}", group)
    for key, field in scenario.land.fields.items():
        yield from _field(f"land.fields.{key}", key, field)
    if scenario.land.place is not None and scenario.land.place not in place_keys():
        yield question.unknown("land.place", "place", scenario.land.place, place_keys())
    yield from _hay(scenario.hay)
    yield from _finance(scenario.finance)
    for key, losses in scenario.animal_losses.items():
        yield from _losses(question, key, losses)


def _group(path: str, group: Group) -> Iterator[Fault]:
    if group.birth_starts is None:
        if group.birth_season_days is not None:
            yield fault_of(
                group,
                path,
                "birth_starts",
                "birth_season_days is given without birth_starts; give the day on which the first "
                "birth is expected, or leave birth_season_days out.",
                allowed="a day as MM-DD",
            )
        return
    if group.animal not in GIVES_BIRTH:
        yield fault_of(
            group,
            path,
            "birth_starts",
            f"birth_starts is for animals that can give birth, and {group.animal} is none; "
            "leave it out, or correct the animal.",
            allowed=f"only for {choice(GIVES_BIRTH)}",
        )
    elif group.birth_season_days is None:
        yield fault_of(
            group,
            path,
            "birth_season_days",
            "birth_starts is given, so birth_season_days is needed: the days from the first to "
            "the last birth.",
        )
    if group.stage is not None:
        yield fault_of(
            group,
            path,
            "stage",
            "The stage goes by the calendar where birth_starts is given; leave stage out, or "
            "birth_starts.",
        )


def _field(path: str, key: str, field: Field) -> Iterator[Fault]:
    if field.lease_years_left is None:
        return
    if field.tenure == "owned":
        yield fault_of(
            field,
            path,
            "lease_years_left",
            f"{key} is owned and has no lease; set tenure to rented, or leave lease_years_left "
            "out.",
        )
    elif field.lease_years_left == 0:
        yield fault_of(
            field,
            path,
            "lease_years_left",
            f"The lease on {key} has ended: 0 years are left. Give the years of a new lease, or "
            "leave the field out.",
            allowed="at least 1",
        )


def _hay(hay: Hay) -> Iterator[Fault]:
    if hay.price_per_ton is None and hay.price_per_bale is None:
        yield fault_of(
            hay,
            "hay",
            "price_per_ton",
            "Hay has no price; give price_per_ton, or price_per_bale.",
        )
    elif hay.price_per_ton is not None and hay.price_per_bale is not None:
        yield fault_of(
            hay,
            "hay",
            "price_per_bale",
            "Hay has two prices, price_per_ton and price_per_bale; keep one of them.",
        )
    makes_hay = hay.valued_at == "cost_to_make" and hay.home_grown_fraction > 0
    if makes_hay and hay.cost_to_make_per_ton is None:
        yield fault_of(
            hay,
            "hay",
            "cost_to_make_per_ton",
            "Home-grown hay is valued at the cost to make it, which is not given; give it, or set "
            "valued_at to market_less_selling.",
        )


def _finance(finance: Finance) -> Iterator[Fault]:
    nominal, inflation = finance.nominal_rate, finance.inflation
    if finance.real_rate is not None:
        if nominal is not None or inflation is not None:
            yield fault_of(
                finance,
                "finance",
                "real_rate",
                "real_rate stands beside nominal_rate or inflation; give real_rate alone, or "
                "nominal_rate with inflation.",
            )
    elif nominal is None and inflation is None:
        yield fault_of(
            finance,
            "finance",
            "real_rate",
            "There is no rate of interest; give real_rate, or nominal_rate with inflation.",
        )
    elif nominal is None or inflation is None:
        given, lacking = (
            ("inflation", "nominal_rate") if nominal is None else ("nominal_rate", "inflation")
        )
        yield fault_of(
            finance,
            "finance",
            lacking,
            f"{given} is given and {lacking} is not; give both, or real_rate alone.",
        )
    elif (real := (1 + nominal) / (1 + inflation) - 1) <= LEAST_REAL_RATE:
        yield fault_of(
            finance,
            "finance",
            "nominal_rate",
            f"nominal_rate {exact(nominal)} with inflation {exact(inflation)} is a real rate of "
            f"{real:.3f}, which is no rate to plan by; it must be more than {LEAST_REAL_RATE}.",
        )


def _losses(question: Question, key: str, losses: AnimalLosses) -> Iterator[Fault]:
    herd = question.scenario.herd
    path = f"animal_losses.{key}"
    if key not in herd:
        yield question.unknown(path, "group", key, list(herd))
        return
    lost = losses.young_lost_per_head_mud_day
    longest = max(days_of_rows(question.scenario.winter))
    if lost > 0 and herd[key].animal not in GIVES_BIRTH:
        yield fault_of(
            losses,
            path,
            "young_lost_per_head_mud_day",
            f"{key} ({herd[key].animal}) have no young to lose; set it to 0.",
            allowed="0",
        )
    elif lost * longest > 1:
        yield fault_of(
            losses,
            path,
            "young_lost_per_head_mud_day",
            f"{exact(lost)} young lost for each head and day in mud is {exact(lost * longest)} "
            f"a head in a winter of {exact(longest)} days, more than one young for each head.",
            allowed=f"at most {1 / longest:.3g}",
        )
