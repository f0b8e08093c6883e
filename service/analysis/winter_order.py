"""Which winter is the driest, the median and the wettest, and which follows the driest autumn."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from service.costing.winter import Winter, WinterRow
from service.costing.winter_rows import rows_of, season_names

DRIEST = (
    "Fewest wet days; of those alike the one with more frozen and snow-covered days, then the "
    "earlier season."
)
MEDIAN = (
    "The middle one by wet days, of an even number the drier of the two in the middle; weights do "
    "not count."
)
WETTEST = (
    "Most wet days; of those alike the one with fewer frozen and snow-covered days, then the later "
    "season."
)
SEVERAL = 3
"""With fewer winters two types are the same one."""

GROWTH = "stockpile_growth_factor"


@dataclass(frozen=True, slots=True)
class TypedWinter:
    """A winter that stands for a type: its number among the rows, and why it was taken."""

    name: str
    rule: str
    number: int
    season: str
    row: WinterRow


def typed_winters(
    winter: Winter, autumn_rain_in: Mapping[str, float]
) -> tuple[list[TypedWinter], list[str]]:
    """Return the winter of each type, and what the reader must know of them.

    Parameters
    ----------
    winter : Winter
        The winters, as rows or as one row of counts.
    autumn_rain_in : mapping of str to float
        Rain of the autumn before each season, where it is known [in].
    """
    rows = rows_of(winter)
    seasons = season_names(rows)
    order = sorted(range(len(rows)), key=lambda number: _wetness(rows[number], number))
    chosen = [
        ("driest", DRIEST, order[0]),
        ("median", MEDIAN, order[(len(rows) - 1) // 2]),
        ("wettest", WETTEST, order[-1]),
    ]
    warnings = _few(seasons, rows)
    autumn = _driest_autumn(winter, rows, seasons, autumn_rain_in, order)
    if autumn is not None:
        chosen.append(("driest_autumn", *autumn))
    else:
        warnings.append(
            f"The winter after the driest autumn is left out: {GROWTH} is the same in all "
            "winters, and the rain of the autumn is not known for each of them."
        )
    return [
        TypedWinter(name, rule, number, seasons[number], rows[number])
        for name, rule, number in chosen
    ], warnings


def _wetness(row: WinterRow, number: int) -> tuple[float, float, str, int]:
    days = row.ground_days
    return (days.wet, -(days.frozen + days.snow_covered), row.season or "", number)


def _few(seasons: Sequence[str], rows: Sequence[WinterRow]) -> list[str]:
    if len(seasons) == 1:
        return ["There is one winter, so every type is that one."]
    warnings: list[str] = []
    if len(seasons) < SEVERAL:
        warnings.append("There are two winters, so the median is the driest one.")
    if len({row.ground_days.wet for row in rows}) == 1:
        warnings.append(
            "All winters have the same wet days; driest and wettest go by frozen and snow-covered "
            "days alone."
        )
    return warnings


def _driest_autumn(
    winter: Winter,
    rows: Sequence[WinterRow],
    seasons: Sequence[str],
    autumn_rain_in: Mapping[str, float],
    order: Sequence[int],
) -> tuple[str, int] | None:
    """Return the rule and the number of the winter, or None if autumns cannot be told apart."""
    if len(rows) == 1:
        return "The only winter.", 0

    def least(of: Callable[[int], float]) -> int:
        return min(order, key=of)

    growth = [
        winter.stockpile_growth_factor
        if row.stockpile_growth_factor is None
        else row.stockpile_growth_factor
        for row in rows
    ]
    if len(set(growth)) > 1:
        return f"Least {GROWTH}; of those alike the drier winter.", least(growth.__getitem__)
    if all(season in autumn_rain_in for season in seasons):
        return (
            "Least rain in the autumn before it; of those alike the drier winter.",
            least(lambda number: autumn_rain_in[seasons[number]]),
        )
    return None
