"""Grass shut in late summer for the winter, and the late summer it is taken from."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    DAYS_PER_MOVE,
    POUNDS_PER_TON,
    Acres,
    Currency,
    CurrencyPerAcre,
    CurrencyPerPound,
    CurrencyPerTonDM,
    Days,
    Fraction,
    Head,
    PoundsDM,
    PoundsDMPerAcre,
    PoundsDMPerAcreDay,
    PoundsDMPerHeadDay,
    PoundsDMPerPoundN,
    PoundsPerAcre,
)


@formula("acres x growth a day x growth factor x days")
def stockpile_without_nitrogen(
    acres: Acres, growth: PoundsDMPerAcreDay, growth_factor: Fraction, days: Days
) -> PoundsDM:
    """Grass grown from closing to dormancy without nitrogen.

    Parameters
    ----------
    acres : float or ndarray
        Acres shut [acre].
    growth : float or ndarray
        Growth in a usual autumn [lb DM/acre/day].
    growth_factor : ndarray of shape (draws, rows)
        Growth of the autumn against the usual [fraction].
    days : float or ndarray
        Days from closing to dormancy [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Grass [lb DM].
    """
    return acres * growth * growth_factor * days


@formula("acres x response x nitrogen x growth factor")
def stockpile_from_nitrogen(
    acres: Acres,
    nitrogen_response: PoundsDMPerPoundN,
    nitrogen: PoundsPerAcre,
    growth_factor: Fraction,
) -> PoundsDM:
    """Grass added by nitrogen spread at closing.

    Parameters
    ----------
    acres : float or ndarray
        Acres shut [acre].
    nitrogen_response : float or ndarray
        Grass from a pound of nitrogen [lb DM/lb N].
    nitrogen : float or ndarray
        Nitrogen spread [lb/acre].
    growth_factor : ndarray of shape (draws, rows)
        Growth of the autumn against the usual [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Grass [lb DM].
    """
    return acres * nitrogen_response * nitrogen * growth_factor


@formula("by days per move, straight line between 1, 3, 7 and 14, above 14 as 14")
def utilization(
    days_per_move: Days,
    at_one: Fraction,
    at_three: Fraction,
    at_seven: Fraction,
    at_fourteen: Fraction,
) -> Fraction:
    """Share of the grass left after winter loss that animals eat.

    Parameters
    ----------
    days_per_move : float or ndarray
        Days between moves of the wire [day].
    at_one : float or ndarray
        Utilization with moves each day [fraction].
    at_three : float or ndarray
        Every third day [fraction].
    at_seven : float or ndarray
        Every seventh day [fraction].
    at_fourteen : float or ndarray
        Every fourteenth day [fraction].

    Returns
    -------
    float or ndarray
        Utilization [fraction].
    """
    one, three, seven, fourteen = DAYS_PER_MOVE
    d = np.clip(days_per_move, one, fourteen)
    early = at_one + (at_three - at_one) * (d - one) / (three - one)
    middle = at_three + (at_seven - at_three) * (d - three) / (seven - three)
    late = at_seven + (at_fourteen - at_seven) * (d - seven) / (fourteen - seven)
    return np.where(d <= three, early, np.where(d <= seven, middle, late))


@formula("standing x (1 - winter loss) x utilization")
def usable_stockpile(standing: PoundsDM, winter_loss: Fraction, utilization: Fraction) -> PoundsDM:
    """Stockpiled grass that animals can eat.

    Parameters
    ----------
    standing : ndarray of shape (draws, rows)
        Grass at dormancy [lb DM].
    winter_loss : float or ndarray
        Lost by weathering before it is grazed [fraction].
    utilization : float or ndarray
        Share of the rest that is eaten [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Usable grass [lb DM].
    """
    return standing * (1 - winter_loss) * utilization


@formula("acres x (standing at closing + growth x factor x days) x utilization")
def late_summer_supply(
    acres: Acres,
    standing: PoundsDMPerAcre,
    growth: PoundsDMPerAcreDay,
    growth_factor: Fraction,
    days: Days,
    utilization: Fraction,
) -> PoundsDM:
    """Grass that the herd can eat in late summer.

    Parameters
    ----------
    acres : float or ndarray
        Grazed acres that are not shut [acre].
    standing : float or ndarray
        Grass standing on the closing date [lb DM/acre].
    growth : float or ndarray
        Growth in a usual autumn [lb DM/acre/day].
    growth_factor : ndarray of shape (draws, rows)
        Growth of the autumn against the usual [fraction].
    days : float or ndarray
        Days of the stretch [day].
    utilization : float or ndarray
        Share that is eaten [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Supply [lb DM].
    """
    return acres * (standing + growth * growth_factor * days) * utilization


@formula("sum over groups of head x intake, x days")
def late_summer_demand(head: Head, intake: PoundsDMPerHeadDay, days: Days) -> PoundsDM:
    """Grass that the herd would eat in late summer.

    Parameters
    ----------
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    intake : ndarray of shape (groups, 1, draws, rows)
        Intake in the stages of those days [lb DM/head/day].
    days : float or ndarray
        Days of the stretch [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Demand [lb DM].
    """
    return np.add.reduce(head * intake, axis=(-4, -3)) * days


@formula("demand - supply, none if there is enough")
def shortfall(demand: PoundsDM, supply: PoundsDM) -> PoundsDM:
    """What a demand lacks.

    Parameters
    ----------
    demand : float or ndarray
        Demand [lb DM].
    supply : float or ndarray
        Supply [lb DM].

    Returns
    -------
    float or ndarray
        Shortfall [lb DM].
    """
    return np.maximum(0.0, demand - supply)


@formula("shortfall as shut - shortfall with nothing shut")
def caused_by_closing(as_closed: PoundsDM, nothing_closed: PoundsDM) -> PoundsDM:
    """Late-summer hay that shutting grass makes necessary.

    Parameters
    ----------
    as_closed : ndarray of shape (draws, rows)
        Shortfall with the acres shut [lb DM].
    nothing_closed : ndarray of shape (draws, rows)
        Shortfall with nothing shut [lb DM].

    Returns
    -------
    ndarray of shape (draws, rows)
        Hay [lb DM].
    """
    return as_closed - nothing_closed


@formula("acres x nitrogen x price")
def nitrogen_cost(acres: Acres, nitrogen: PoundsPerAcre, price: CurrencyPerPound) -> Currency:
    """Nitrogen spread on the grass that is shut.

    Parameters
    ----------
    acres : float or ndarray
        Acres shut [acre].
    nitrogen : float or ndarray
        Nitrogen spread [lb/acre].
    price : float or ndarray
        Price of nitrogen [currency/lb].

    Returns
    -------
    float or ndarray
        Cost [currency].
    """
    return acres * nitrogen * price


@formula("acres x spreading an acre, where any nitrogen is spread")
def spreading_cost(
    acres: Acres, nitrogen: PoundsPerAcre, cost_per_acre: CurrencyPerAcre
) -> Currency:
    """Spreading the nitrogen.

    Parameters
    ----------
    acres : float or ndarray
        Acres shut [acre].
    nitrogen : float or ndarray
        Nitrogen spread [lb/acre].
    cost_per_acre : float or ndarray
        Spreading an acre [currency/acre].

    Returns
    -------
    float or ndarray
        Cost [currency].
    """
    return acres * cost_per_acre * (np.asarray(nitrogen) > 0)


@formula("(grass without nitrogen - what is replaced by hay) x value of grazing")
def forage_given_up(
    plain: PoundsDM, replaced: PoundsDM, forage_value: CurrencyPerTonDM
) -> Currency:
    """Worth of the late-summer grass that is kept for winter.

    Grass replaced by hay is paid for once, as hay.

    Parameters
    ----------
    plain : ndarray of shape (draws, rows)
        Grass grown without nitrogen [lb DM].
    replaced : ndarray of shape (draws, rows)
        Late-summer hay fed because of the closing [lb DM].
    forage_value : float or ndarray
        Worth of standing grass [currency/ton DM].

    Returns
    -------
    ndarray of shape (draws, rows)
        Worth [currency].
    """
    return np.maximum(0.0, plain - replaced) / POUNDS_PER_TON * forage_value


@formula("late-summer hay / (demand / days)")
def days_of_hay(hay: PoundsDM, demand: PoundsDM, days: Days) -> Days:
    """Days on which the herd is fed hay in late summer.

    Parameters
    ----------
    hay : ndarray of shape (draws, rows)
        Late-summer hay [lb DM].
    demand : ndarray of shape (draws, rows)
        What the herd eats in the stretch [lb DM].
    days : float or ndarray
        Days of the stretch [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Days of hay [day].
    """
    return hay / (demand / days)
