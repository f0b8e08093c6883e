"""From what each entry costs in each winter to entries by year, and to the lines of a result.

An entry is all money of one line, kind and price escalation; entries lie side by side on an axis of
their own.
"""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    Counted,
    Currency,
    CurrencyByYear,
    CurrencyPerYear,
    EntriesByYear,
    EntriesOfMoney,
    EntriesPerYear,
    EntryRates,
    LinesByYear,
    LinesPerYear,
    PerYear,
    Years,
)


@formula("0 in year 0, then the amount x (1 + escalation)^(year - 1)")
def entries_by_year(
    amount: EntriesOfMoney, escalation_rate: EntryRates, years: Years
) -> EntriesByYear:
    """Repeat what entries cost each year, prices moving apart from inflation.

    Parameters
    ----------
    amount : ndarray of shape (entries, draws, 1)
        Expected cost in a year at the prices of year 1 [currency].
    escalation_rate : ndarray of shape (entries, 1, 1)
        Yearly rise above inflation [fraction/year].
    years : float
        Horizon, a whole number [year].

    Returns
    -------
    ndarray of shape (years + 1, entries, draws, 1)
        Nothing in year 0, then the amount of each year [currency].
    """
    later = np.arange(int(years)).reshape(-1, 1, 1, 1)
    flows = amount * (1 + escalation_rate) ** later
    return np.concatenate([np.zeros_like(flows[:1]), flows])


@formula("one after the other")
def all_entries(*flows: EntriesByYear) -> EntriesByYear:
    """Join entries that recur and entries that differ by year.

    Parameters
    ----------
    *flows : ndarray of shape (years + 1, entries, draws, 1)
        Flows of some entries [currency].

    Returns
    -------
    ndarray of shape (years + 1, entries, draws, 1)
        Flows of all entries [currency].
    """
    varied = np.broadcast_shapes(*(flow.shape[2:] for flow in flows))
    return np.concatenate(
        [np.broadcast_to(flow, (*flow.shape[:2], *varied)) for flow in flows], axis=1
    )


@formula("sum over the years of flow / (1 + discount rate)^year")
def present_values(flows: EntriesByYear, discount_rate: PerYear) -> EntriesOfMoney:
    """Worth in year 0 of each entry.

    Parameters
    ----------
    flows : ndarray of shape (years + 1, entries, draws, 1)
        Money of each year, year 0 first [currency].
    discount_rate : float or ndarray
        Real rate, as prices are constant [fraction/year].

    Returns
    -------
    ndarray of shape (entries, draws, 1)
        Present values [currency].
    """
    year = np.arange(len(flows)).reshape(-1, 1, 1, 1)
    return np.add.reduce(flows * (1 + discount_rate) ** -year.astype(float), axis=0)


@formula("present value x capital recovery factor")
def annual_equivalents(present_value: EntriesOfMoney, capital_recovery: PerYear) -> EntriesPerYear:
    """Level yearly amount worth as much as each present value.

    Parameters
    ----------
    present_value : ndarray of shape (entries, draws, 1)
        Worth in year 0 [currency].
    capital_recovery : float or ndarray
        Capital recovery factor of the rate and the horizon [fraction/year].

    Returns
    -------
    ndarray of shape (entries, draws, 1)
        Annual equivalents; interest is inside [currency/year].
    """
    return present_value * capital_recovery


@formula("sum of the entries of each line")
def lines_of_entries(entries: EntriesPerYear, counted: Counted) -> LinesPerYear:
    """Add up the entries of each line.

    Parameters
    ----------
    entries : ndarray of shape (entries, draws, 1)
        Annual equivalent of each entry [currency/year].
    counted : ndarray of shape (lines, entries, 1, 1)
        1 where an entry belongs to a line, else 0 [none].

    Returns
    -------
    ndarray of shape (lines, draws, 1)
        Annual equivalent of each line [currency/year].
    """
    return np.add.reduce(entries * counted, axis=-3)


@formula("sum of the entries of each line, year by year")
def lines_by_year(flows: EntriesByYear, counted: Counted) -> LinesByYear:
    """Add up the entries of each line in each year.

    Parameters
    ----------
    flows : ndarray of shape (years + 1, entries, draws, 1)
        Money of each year [currency].
    counted : ndarray of shape (lines, entries, 1, 1)
        1 where an entry belongs to a line, else 0 [none].

    Returns
    -------
    ndarray of shape (years + 1, lines, draws, 1)
        Money of each line in each year [currency].
    """
    return np.matmul(counted[..., 0, 0], flows[..., 0])[..., None]


@formula("sum of the entries that count")
def sum_of_entries(entries: EntriesPerYear, counted: Counted) -> CurrencyPerYear:
    """Add up the annual equivalents of some entries.

    Parameters
    ----------
    entries : ndarray of shape (entries, draws, 1)
        Annual equivalent of each entry [currency/year].
    counted : ndarray of shape (entries, 1, 1)
        1 for the entries that count, else 0 [none].

    Returns
    -------
    ndarray of shape (draws, 1)
        The sum [currency/year].
    """
    return np.add.reduce(entries * counted, axis=-3)


@formula("sum of the present values")
def net_present_cost(present_value: EntriesOfMoney) -> Currency:
    """Add up the present values of all entries.

    Parameters
    ----------
    present_value : ndarray of shape (entries, draws, 1)
        Worth in year 0 of each entry [currency].

    Returns
    -------
    ndarray of shape (draws, 1)
        Net present cost [currency].
    """
    return np.add.reduce(present_value, axis=-3)


@formula("sum of the entries that count, year by year")
def sum_by_year(flows: EntriesByYear, counted: Counted) -> CurrencyByYear:
    """Add up the flows of some entries in each year.

    Parameters
    ----------
    flows : ndarray of shape (years + 1, entries, draws, 1)
        Money of each year [currency].
    counted : ndarray of shape (entries, 1, 1)
        1 for the entries that count, else 0 [none].

    Returns
    -------
    ndarray of shape (years + 1, draws, 1)
        The sum in each year [currency].
    """
    return np.add.reduce(flows * counted, axis=-3)


@formula("sum over entries that count of amount x level factor, and what differs by year, levelled")
def cost_of_winters(
    amount: EntriesOfMoney, level_factor: Counted, counted: Counted, levelled: CurrencyPerYear
) -> CurrencyPerYear:
    """Level yearly cost of a horizon of each winter.

    Parameters
    ----------
    amount : ndarray of shape (entries, draws, rows)
        What each entry costs in each winter at the prices of year 1 [currency].
    level_factor : ndarray of shape (entries, 1, 1)
        Level amount for each unit of year 1; 1 where prices do not escalate [none].
    counted : ndarray of shape (entries, 1, 1)
        1 for the entries that count, else 0 [none].
    levelled : float or ndarray of shape (draws, 1)
        Annual equivalent of what does not differ from winter to winter [currency/year].

    Returns
    -------
    ndarray of shape (draws, rows)
        Annual equivalent of each winter [currency/year].
    """
    return np.add.reduce(amount * (level_factor * counted), axis=-3) + levelled
