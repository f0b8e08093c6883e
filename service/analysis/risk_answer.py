"""The answer to a question about risk, read off the table of all draws."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from service.analysis.best_of_draws import best_of
from service.analysis.dominance import dominances
from service.analysis.draw_table import DrawTable
from service.analysis.draw_values import Draws, Spread
from service.analysis.inputs import allowed_at
from service.analysis.questions import Risk
from service.analysis.ranges import InputRange
from service.analysis.statistics_of_draws import PERCENTILE_RULE, told
from service.costing.comparison import standings_of
from service.costing.engine import Costing
from service.costing.units import Array
from service.costing.wording import amount, count, listed

Document = dict[str, Any]

UNVERIFIED = "(from memory, unverified)"
HIGHEST_AVERSION = 5
"""Divided by the standard deviation, the highest aversion that makes sense."""
SOURCE_OF_HIGHEST = (
    "McCarl and Bessler 1989, Estimating an Upper Bound on the Pratt Risk Aversion Coefficient "
    f"When the Utility Function is Unknown {UNVERIFIED}"
)
FARM_MARGIN = "farm_margin"
COST = "annual_equivalent_cost"
AS_IF_ALWAYS = "A draw is costed as if every year were like it; good and bad years do not even out."
IF_VARIED = (
    "What differs is drawn apart from all else: no draw knows that one price often moves another.",
    "What is built has in every draw the size that it has in the plan.",
    "Ranges that reach further up than down, or the other way, move the mean off the costing.",
)


def answer_of(
    costing: Costing,
    question: Risk,
    draws: Draws,
    ranges: Mapping[str, InputRange],
    table: DrawTable,
) -> Document:
    """Return the answer.

    Parameters
    ----------
    costing : Costing
        The scenario as it stands.
    question : Risk
        As it was asked.
    draws : Draws
        What was drawn.
    ranges : mapping of str to InputRange
        Of the inputs that have one, by path.
    table : DrawTable
        All draws. Its columns are put in order here, each system for itself: many draws fill much
        memory, so there is one table and no copy.
    """
    by_margin = table.scores is not table.costs
    currency = costing.case.scenario.currency
    systems = list(costing.systems)
    rows = _compared(costing, table, draws)
    for values in (table.costs, table.scores) if by_margin else (table.costs,):
        values.sort(axis=1)
    aversions = question.absolute_risk_aversion
    for row, costs, scores in zip(rows, table.costs, table.scores, strict=True):
        row.update(told(costs, aversions))
        row[FARM_MARGIN] = told(scores, aversions, earned=True) if by_margin else None
    return {
        "draws": draws.count,
        "seed": draws.seed,
        "unit": f"{currency}/year",
        "figure": FARM_MARGIN if by_margin else COST,
        "resampled": question.winters,
        "winters": _winters(costing, draws, table),
        "varied": [
            *([] if draws.mean_winter else ["winter"]),
            *(spread.path for spread in draws.spreads),
        ],
        "ranges": [_range(spread, ranges, currency) for spread in draws.spreads],
        "absolute_risk_aversion": list(aversions),
        "percentile_rule": PERCENTILE_RULE,
        "systems": rows,
        "dominance": dominances(systems, table.scores, [row["short_draws"] == 0 for row in rows]),
        "warnings": _warnings(costing, question, draws, rows),
    }


def _compared(costing: Costing, table: DrawTable, draws: Draws) -> list[Document]:
    """Return for each system what is read off the draws side by side."""
    standings = standings_of(costing)
    best = best_of(table.scores, table.short)
    wins: list[int] = np.bincount(best.first, minlength=len(costing.systems)).tolist()
    rows: list[Document] = []
    for number, key in enumerate(costing.systems):
        regret: Array = table.scores[number] - best.score
        rows.append(
            {
                "system": key,
                "cheapest_in_draws": wins[number],
                "chance_cheapest": wins[number] / draws.count,
                "cheapest_in_winters": standings[key].cheapest_in_winters,
                "mean_regret": float(np.mean(regret)),
                "largest_regret": float(np.max(regret)),
                "worst_winter": (
                    None
                    if draws.mean_winter
                    else _worst_winter(costing.winters.seasons, table.costs[number], table)
                ),
                "short_draws": int(np.count_nonzero(table.short[number])),
            }
        )
    return rows


def _worst_winter(seasons: list[str], costs: Array, table: DrawTable) -> Document:
    """Return the winter in whose draws a system costs most on average."""
    times = np.bincount(table.picked, minlength=len(seasons))
    summed = np.bincount(table.picked, weights=costs, minlength=len(seasons))
    means = np.where(times > 0, summed / np.maximum(times, 1), -np.inf)
    worst = int(np.argmax(means))
    return {"season": seasons[worst], "mean": float(means[worst]), "draws": int(times[worst])}


def _winters(costing: Costing, draws: Draws, table: DrawTable) -> list[Document]:
    """Return the winters with their weights, and how often each was drawn."""
    seasons = costing.winters.seasons
    times: list[int | None] = (
        [None] * len(seasons)
        if draws.mean_winter
        else np.bincount(table.picked, minlength=len(seasons)).tolist()
    )
    return [
        {"season": season, "weight": weight, "draws": often}
        for season, weight, often in zip(seasons, draws.weights, times, strict=True)
    ]


def _range(spread: Spread, ranges: Mapping[str, InputRange], currency: str) -> Document:
    known = ranges.get(spread.path)
    allowed = allowed_at(spread.path, {})
    unit = allowed.unit if allowed else ""
    return {
        "input": spread.path,
        "unit": unit.replace("currency", currency),
        "low": spread.low,
        "usual": spread.usual,
        "high": spread.high,
        "base": spread.base,
        "meaning": allowed.meaning if allowed else "",
        "source": _source(known) if known and not spread.asked else None,
    }


def _source(known: InputRange) -> str | None:
    return f"{known.source} {UNVERIFIED}" if known.unverified else known.source


def _warnings(costing: Costing, question: Risk, draws: Draws, rows: list[Document]) -> list[str]:
    currency = costing.case.scenario.currency
    found = [
        f"In {count(row['short_draws'])} of {count(draws.count)} draws {row['system']} leaves "
        "animals without a place to be fed, so its cost there is not the whole. It counts as "
        "cheapest only where no system feeds them all."
        for row in rows
        if row["short_draws"]
    ]
    seasons = costing.winters.seasons
    if draws.mean_winter:
        found.append("Every draw has the mean winter; how winters differ is left out.")
    elif len(seasons) == 1:
        found.append("The scenario has one winter, so winters do not differ.")
    if rows and rows[0][FARM_MARGIN] is not None:
        found.append(
            "Systems have different herds: which is better goes by farm margin. The costs beside "
            "it are of the winter alone."
        )
    if draws.spreads or (len(seasons) > 1 and not draws.mean_winter):
        found.append(AS_IF_ALWAYS)
    if draws.spreads:
        found += IF_VARIED
    elif question.vary is None:
        found.append("No price, yield or waste of this scenario has a range, so none differs.")
    return [*found, *_too_averse(question, rows, currency)]


def _too_averse(question: Risk, rows: list[Document], currency: str) -> list[str]:
    """Say which aversions are higher than the spread of any system allows."""
    spreads = [(row.get(FARM_MARGIN) or row)["standard_deviation"] for row in rows]
    smallest = min((spread for spread in spreads if spread > 0), default=0.0)
    if not smallest:
        return []
    bound = HIGHEST_AVERSION / smallest
    high = [amount(value) for value in question.absolute_risk_aversion if value > bound]
    sentence = (
        f"An absolute risk aversion of {listed(high)} per {currency} is above {amount(bound)}, "
        f"which is {HIGHEST_AVERSION} divided by the least standard deviation here: more than is "
        f"thought possible. Source: {SOURCE_OF_HIGHEST}."
    )
    return [sentence] if high else []
