"""What an hour of a farm machine costs, by ASABE EP496 with the coefficients of ASABE D497.

The coefficients are reference values. The forms of the equations are given from memory of the two
standards; the tests hold them against figures that extension services have published from them.

The rate is of the machine's whole year: its value and its repairs depend on all of its hours. The
winter is charged at that rate for its own hours only.
"""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    THOUSAND_HOURS,
    Currency,
    CurrencyPerGallon,
    CurrencyPerHour,
    CurrencyPerYear,
    Fraction,
    GallonsPerHorsepowerHour,
    Horsepower,
    Hours,
    HoursPerYear,
    PerYear,
    Plain,
    Years,
)


@formula("age + years kept")
def age_when_sold(age_years: Years, years_kept: Years) -> Years:
    """Age of a machine when it leaves the farm.

    Parameters
    ----------
    age_years : float or ndarray
        Age now [year].
    years_kept : float or ndarray
        Years it will still be kept [year].

    Returns
    -------
    float or ndarray
        Age at the end [year].
    """
    return age_years + years_kept


@formula("hours so far + years kept x hours per year")
def hours_when_sold(hours_so_far: Hours, years_kept: Years, hours_per_year: HoursPerYear) -> Hours:
    """Hours on the clock when a machine leaves the farm.

    Parameters
    ----------
    hours_so_far : float or ndarray
        Hours on the clock now [hour].
    years_kept : float or ndarray
        Years it will still be kept [year].
    hours_per_year : float or ndarray
        Use in a year, all work [hour/year].

    Returns
    -------
    float or ndarray
        Hours at the end [hour].
    """
    return hours_so_far + years_kept * hours_per_year


@formula("hours / age")
def hours_per_year_of_life(hours: Hours, age_years: Years) -> HoursPerYear:
    """Average use of a machine over its life.

    Parameters
    ----------
    hours : float or ndarray
        Hours on the clock [hour].
    age_years : float or ndarray
        Age, more than 0 [year].

    Returns
    -------
    float or ndarray
        Hours in an average year of its life [hour/year].
    """
    return hours / age_years


@formula(
    "list price x (C1 - C2 x square root of age - C3 x square root of hours per year of life)^2; "
    "0 where the bracket is below 0"
)
def remaining_value(
    list_price: Currency,
    c1: Plain,
    c2: Plain,
    c3: Plain,
    age_years: Years,
    hours_per_year_of_life: HoursPerYear,
) -> Currency:
    r"""Worth of a machine at an age.

    .. math:: V = L \max(0,\; C_1 - C_2 \sqrt{n} - C_3 \sqrt{h})^2

    Parameters
    ----------
    list_price : float or ndarray
        Price of the machine new today, :math:`L`, not what was paid for it [currency].
    c1 : float or ndarray
        Share of list at delivery, before it is squared, :math:`C_1` [none].
    c2 : float or ndarray
        Coefficient of age, :math:`C_2` [none].
    c3 : float or ndarray
        Coefficient of use, :math:`C_3`, 0 for machines without one [none].
    age_years : float or ndarray
        Age, :math:`n` [year].
    hours_per_year_of_life : float or ndarray
        Hours in an average year of its life, :math:`h` [hour/year].

    Returns
    -------
    float or ndarray
        Remaining value in today's money [currency].

    References
    ----------
    ASABE D497, *Agricultural Machinery Management Data*, depreciation (from memory).

    Examples
    --------
    A tractor of 180 hp, 15 years old, 400 hours a year, is worth 23 % of list in the machinery
    cost sheet of Iowa State University Extension:

    >>> float(round(remaining_value(100, 0.976, 0.119, 0.0019, 15, 400)))
    23.0
    """
    root = c1 - c2 * np.sqrt(age_years) - c3 * np.sqrt(hours_per_year_of_life)
    return list_price * np.maximum(root, 0) ** 2


@formula("list price x RF1 x (hours / 1,000)^RF2")
def accumulated_repairs(list_price: Currency, rf1: Plain, rf2: Plain, hours: Hours) -> Currency:
    """Repairs and maintenance of a machine from new.

    Parameters
    ----------
    list_price : float or ndarray
        Price of the machine new today [currency].
    rf1 : float or ndarray
        Repair factor, RF1 [none].
    rf2 : float or ndarray
        Repair exponent, RF2 [none].
    hours : float or ndarray
        Hours on the clock [hour].

    Returns
    -------
    float or ndarray
        All repairs so far in today's money [currency].

    References
    ----------
    ASABE D497, *Agricultural Machinery Management Data*, repair and maintenance (from memory).

    Examples
    --------
    A two-wheel-drive tractor has used up a quarter of its list price by 6 000 hours, says Iowa
    State University Extension:

    >>> round(accumulated_repairs(list_price=100, rf1=0.007, rf2=2, hours=6_000))
    25
    """
    return list_price * rf1 * (hours / THOUSAND_HOURS) ** rf2


@formula("(accumulated repairs when sold - accumulated repairs so far) / years kept")
def repairs_per_year(
    repairs_when_sold: Currency, repairs_so_far: Currency, years_kept: Years
) -> CurrencyPerYear:
    """Repairs in an average year of those still ahead, more than in an average year from new.

    Parameters
    ----------
    repairs_when_sold : float or ndarray
        Accumulated repairs at the end [currency].
    repairs_so_far : float or ndarray
        Accumulated repairs now [currency].
    years_kept : float or ndarray
        Years it will still be kept, more than 0 [year].

    Returns
    -------
    float or ndarray
        Repairs and maintenance [currency/year].
    """
    return (repairs_when_sold - repairs_so_far) / years_kept


@formula("(price - salvage value) x capital recovery factor + salvage value x discount rate")
def machine_recovery_per_year(
    price: Currency,
    salvage_value: Currency,
    capital_recovery: PerYear,
    discount_rate: PerYear,
) -> CurrencyPerYear:
    """Depreciation and interest of a machine in one: interest is not to be charged again.

    Parameters
    ----------
    price : float or ndarray
        Worth now or price paid [currency].
    salvage_value : float or ndarray
        Worth when it is sold [currency].
    capital_recovery : float or ndarray
        Capital recovery factor of the rate and the years kept [fraction/year].
    discount_rate : float or ndarray
        Real if prices are constant [fraction/year].

    Returns
    -------
    float or ndarray
        Capital recovery [currency/year].
    """
    return (price - salvage_value) * capital_recovery + salvage_value * discount_rate


@formula("price x share for taxes, insurance and housing")
def taxes_insurance_housing(price: Currency, fraction: PerYear) -> CurrencyPerYear:
    """Taxes, insurance and housing of a machine.

    Parameters
    ----------
    price : float or ndarray
        Worth now or price paid [currency].
    fraction : float or ndarray
        Share of the price for a year [fraction/year].

    Returns
    -------
    float or ndarray
        The three together [currency/year].
    """
    return price * fraction


@formula("diesel for each PTO hp and hour x PTO hp x price of diesel")
def fuel_per_hour(
    fuel_use: GallonsPerHorsepowerHour,
    pto_hp: Horsepower,
    diesel_price: CurrencyPerGallon,
) -> CurrencyPerHour:
    """Fuel for an hour of work.

    Parameters
    ----------
    fuel_use : float or ndarray
        Diesel burned for each horsepower at the PTO, average of the year [gallon/hp/hour].
    pto_hp : float or ndarray
        Power at the PTO [hp].
    diesel_price : float or ndarray
        Price of diesel [currency/gallon].

    Returns
    -------
    float or ndarray
        Fuel [currency/hour].
    """
    return fuel_use * pto_hp * diesel_price


@formula("fuel x share for lubrication")
def lubrication_per_hour(
    fuel_per_hour: CurrencyPerHour, lubrication_fraction: Fraction
) -> CurrencyPerHour:
    """Oil and filters for an hour of work.

    Parameters
    ----------
    fuel_per_hour : float or ndarray
        Fuel [currency/hour].
    lubrication_fraction : float or ndarray
        Lubrication as a share of fuel [fraction].

    Returns
    -------
    float or ndarray
        Lubrication [currency/hour].
    """
    return fuel_per_hour * lubrication_fraction


@formula("(capital recovery + taxes, insurance and housing) / hours per year")
def ownership_per_hour(
    capital_recovery_per_year: CurrencyPerYear,
    taxes_insurance_housing: CurrencyPerYear,
    hours_per_year: HoursPerYear,
) -> CurrencyPerHour:
    """Cost of owning a machine for each hour that it works.

    Parameters
    ----------
    capital_recovery_per_year : float or ndarray
        Depreciation and interest [currency/year].
    taxes_insurance_housing : float or ndarray
        Taxes, insurance and housing [currency/year].
    hours_per_year : float or ndarray
        Use in a year, all work, more than 0 [hour/year].

    Returns
    -------
    float or ndarray
        Ownership [currency/hour].
    """
    return (capital_recovery_per_year + taxes_insurance_housing) / hours_per_year


@formula("repairs / hours per year + fuel + lubrication")
def operating_per_hour(
    repairs_per_year: CurrencyPerYear,
    hours_per_year: HoursPerYear,
    fuel_per_hour: CurrencyPerHour,
    lubrication_per_hour: CurrencyPerHour,
) -> CurrencyPerHour:
    """Cost of running a machine for an hour, without its driver.

    Parameters
    ----------
    repairs_per_year : float or ndarray
        Repairs and maintenance [currency/year].
    hours_per_year : float or ndarray
        Use in a year, all work, more than 0 [hour/year].
    fuel_per_hour : float or ndarray
        Fuel [currency/hour].
    lubrication_per_hour : float or ndarray
        Lubrication [currency/hour].

    Returns
    -------
    float or ndarray
        Repairs, fuel and lubrication [currency/hour].
    """
    return repairs_per_year / hours_per_year + fuel_per_hour + lubrication_per_hour
