"""Hay, machines, prices and money, from the sixth, seventh and tenth question."""

from typing import Any

from service.costing.reference.table import newest_edition
from service.costing.wording import amount
from service.quick_start.answers import Answers
from service.quick_start.catalog import catalog
from service.quick_start.draft import Draft
from service.quick_start.figures import stand_in
from service.quick_start.marks import Given, Mark, Worked, guess

HAY, WORK, WISHES = "hay", "work", "wishes"
ORDINARY, NOT_SURE_OF_SIZE = "ordinary", "round_5x5"
SMALL = "small_square"
STORES = {
    "barn": "barn",
    "tarp": "ground_covered",
    "rock": "gravel_uncovered",
    "grass": "ground_uncovered",
}
NEIGHBOR, HIRED = "neighbor", "hired"
MACHINES = ("tractor", "loader")
"""One machine: it carries bales, and scrapes and beds."""

PRICE_YEAR = 2026


def fill_farmstead(draft: Draft, answers: Answers) -> None:
    """Put hay, machines, prices, money and limits into the document."""
    draft.put("currency", "USD")
    draft.put("price_year", PRICE_YEAR)
    draft.put("reference_edition", newest_edition())
    draft.put("hay", _hay(draft, answers))
    draft.put("prices", _prices(draft, answers))
    draft.put("machines", _machines(draft, answers))
    draft.put(
        "finance",
        {
            "real_rate": guess("real_rate", WISHES),
            "horizon_years": guess("horizon", WISHES),
        },
    )
    money = answers.number(WISHES, "money")
    if money is not None:
        draft.put("limits.money_up_front", Given(money))


def _hay(draft: Draft, answers: Answers) -> dict[str, Any]:
    look, kept = answers.get(HAY, "look"), answers.get(HAY, "kept")
    price, bales = answers.number(HAY, "price_per_bale"), answers.number(HAY, "bales")
    return {
        "dry_matter_fraction": guess("hay_dry_matter", HAY),
        "tdn_fraction": _by_look("tdn", look),
        "crude_protein_fraction": _by_look("protein", look),
        "bale_weight_lb": _bale_weight(draft, answers),
        "storage": guess("hay_kept", HAY) if kept is None else Given(STORES[kept]),
        "price_per_bale": None if price is None else Given(price),
        "price_per_ton": guess("hay_price", HAY) if price is None else None,
        "bales_on_hand": None if bales is None else Given(bales),
    }


def _by_look(what: str, look: str | None) -> Mark:
    if look is None:
        return guess(f"{what}.{ORDINARY}", HAY)
    figure = stand_in(f"{what}.{look}")
    return Worked(
        figure.usual, f"{figure.meaning}: {amount(figure.number)}, as it looked when cut."
    )


def _bale_weight(draft: Draft, answers: Answers) -> Mark:
    weighed, size = answers.number(HAY, "bale_weight"), answers.get(HAY, "bale_size")
    if weighed is not None:
        if size is not None:
            draft.note(
                "hay.bale_weight_lb",
                f"Size of bale: {catalog()[HAY].part('bale_size').words[size]}; the weight counts.",
            )
        return Given(weighed)
    return guess(f"bale_weight.{size or NOT_SURE_OF_SIZE}", HAY)


def _prices(draft: Draft, answers: Answers) -> dict[str, Any]:
    worth = answers.number(WORK, "hour_worth")
    return {
        "labor_per_hour": guess("hour_worth", WORK) if worth is None else Given(worth),
        "own_labor_fraction": _own_labor(draft, answers),
        "diesel_per_gallon": guess("diesel", WORK),
        "bedding_per_ton": guess("bedding", WISHES),
        "nitrogen_per_lb": guess("nitrogen", HAY),
        "p2o5_per_lb": guess("p2o5", HAY),
        "k2o_per_lb": guess("k2o", HAY),
    }


def _own_labor(draft: Draft, answers: Answers) -> Mark:
    who = answers.get(WORK, "who")
    path = "prices.own_labor_fraction"
    if who is None:
        return guess("own_labor.not_sure", WORK)
    if who == HIRED:
        draft.note(path, "Hired help feeds.")
        return guess("own_labor.hired", WORK)
    if who == NEIGHBOR:
        draft.note(path, "A neighbor feeds for pay, with his own tractor.")
    else:
        draft.note(path, f"Who feeds: {'the family' if who == 'family' else 'the farmer'}.")
    return guess("own_labor.own", WORK)


def _machines(draft: Draft, answers: Answers) -> dict[str, Any]:
    loader, who = answers.get(WORK, "loader"), answers.get(WORK, "who")
    hired = who == NEIGHBOR or loader in {"no", "hired"}
    if loader == "no" and who != NEIGHBOR:
        draft.need("No loader tractor: priced as hired, with its driver.")
    elif hired:
        draft.need("The loader tractor is hired: it is priced by the hour, with its driver.")
    machine = _hired_loader() if hired else _own_loader()
    return {
        **dict.fromkeys(MACHINES, machine),
        "spreader": {
            "custom_rate_per_hour": guess("hired_spreader", WORK),
            "includes_operator": True,
        },
    }


def _hired_loader() -> dict[str, Any]:
    return {
        "custom_rate_per_hour": guess("hired_loader", WORK),
        "includes_operator": True,
        "least_charge": guess("hired_loader_least", WORK),
    }


def _own_loader() -> dict[str, Any]:
    return {
        "class": guess("tractor_class", WORK),
        "list_price": guess("tractor_list_price", WORK),
        "price": guess("tractor_price", WORK),
        "age_years": guess("tractor_age", WORK),
        "years_kept": guess("tractor_years_kept", WORK),
        "hours_per_year": guess("tractor_hours_per_year", WORK),
        "hours_so_far": guess("tractor_hours_so_far", WORK),
        "pto_hp": guess("tractor_pto_hp", WORK),
    }
