"""A record written out in plain columns, as it is kept."""

from service.costing.units import Array
from service.weather.formats import ELEMENTS
from service.weather.series import DailySeries


def plain_csv(series: DailySeries) -> str:
    """Return a record as plain columns; reading them gives the same record.

    Parameters
    ----------
    series : DailySeries
        The record.

    Returns
    -------
    str
        A header and one line a day. What is missing is empty; a column that the record has not is
        left out.
    """
    columns = {
        element: _cells(values)
        for element in ELEMENTS
        if (values := getattr(series, element)) is not None
    }
    first = series.first_day.toordinal()
    days = [
        series.first_day.fromordinal(day).isoformat() for day in range(first, first + series.days)
    ]
    rows = zip(days, *columns.values(), strict=True)
    return "\n".join((",".join(("date", *columns)), *map(",".join, rows), ""))


def _cells(values: Array) -> list[str]:
    return ["" if value != value else repr(value) for value in values.tolist()]  # noqa: PLR0124 - only what is not a number differs from itself
