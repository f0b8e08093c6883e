"""Dates, numbers and flags as they stand in a file.

Each distinct text is read once: a record has some thousand of them in tens of thousands of cells.
"""

import re
from datetime import UTC, date, datetime
from math import nan

FIRST_YEAR = 1850
MISSING_CODES = (-9999.0, 9999.0)
"""Codes for missing in the daily and the monthly files of the archive; no farm has such a day."""

LARGEST_NUMBER = 1_000_000
LONGEST_NUMBER = 40

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+", re.ASCII)
_DATE = re.compile(r"(\d{4})(-?)(\d{2})\2(\d{2})(?:[T ].{0,20})?", re.ASCII)
_DAY_FIRST = re.compile(r"\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}.{0,20}", re.ASCII)


def number_in(cell: str) -> float | None:
    """Return the number in a cell, not a number where it is missing, None where it is none."""
    text = cell.strip()
    if not text:
        return nan
    if len(text) > LONGEST_NUMBER or not _NUMBER.fullmatch(text):
        return None
    number = float(text)
    if number in MISSING_CODES:
        return nan
    return number if abs(number) < LARGEST_NUMBER else None


def number_fault(cell: str, column: str) -> str:
    """Return what is wrong with a cell that holds no number."""
    if _COMMA_NUMBER.fullmatch(cell.strip()):
        return f"{column} has a decimal comma; write a decimal point."
    return f"{column} is not a number that can be read."


def day_in(cell: str, last: int) -> int | str:
    """Return the ordinal of the date in a cell up to some year, or what is wrong with it."""
    text = cell.strip()
    found = _DATE.fullmatch(text)
    if found is None:
        if _DAY_FIRST.fullmatch(text):
            return "The date does not begin with the year, so day and month could be mixed up."
        return "The date cannot be read."
    year, month, day = int(found[1]), int(found[3]), int(found[4])
    if not FIRST_YEAR <= year <= last:
        return "The date lies too far back or ahead."
    try:
        return date(year, month, day).toordinal()
    except ValueError:
        return "The date is not in the calendar."


def allowed_dates() -> str:
    """Return which dates can be read."""
    return f"YYYY-MM-DD or YYYYMMDD, {FIRST_YEAR} to {last_year()}"


def last_year() -> int:
    """Return the last year of which a record may speak: forecasts reach into the next."""
    return datetime.now(UTC).year + 1


def flags_in(cell: str) -> tuple[str, str]:
    """Return measurement and quality flag of an attributes cell: measurement,quality,source."""
    measurement, _, rest = cell.partition(",")
    return measurement.strip(), rest.partition(",")[0].strip()
