"""Figures of a costing by their paths: those that each draw of a run has, and all others."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property, partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.costing.averages import mean_of, winters_of
from service.costing.engine import Costing, SystemCosting
from service.costing.figure import Figure
from service.costing.formulas.hay import bales_short, bales_to_buy
from service.costing.json_shapes import is_object
from service.costing.lines import LINES
from service.costing.loans import money_up_front_by_draw
from service.costing.margin import earned_before_winter, has_herd_change
from service.costing.quantities import acres_damaged_by_draw, labor_hours_by_draw
from service.costing.result import costing_document
from service.costing.units import POUNDS_PER_TON, SEVERITIES, Array
from service.costing.workday import ordinary_minutes_by_draw

COST_SHARE = list(LINES).index("cost_share")
TOTAL = ".total"

Values = NDArray[Any] | None
"""One value for each draw, or one for all; None where the system has no such figure."""


class Draws:
    """A costing of many draws, of which figures are read."""

    def __init__(self, costing: Costing) -> None:
        self.costing = costing
        self.keys = sorted(costing.systems)
        """Of two systems that cost the same the first by key stands first."""

    def given(self, path: str, value: float) -> Array:
        """Return an input of the scenario, as varied, shape (draws,)."""
        return np.atleast_1d(self.costing.case.varied.get(path, value)).reshape(-1)

    def mean(self, figure: Figure) -> Array:
        """Return the mean of the winters, shape (draws,)."""
        return mean_of(self.costing.winters, figure).reshape(-1)

    def largest(self, figure: Figure) -> Array:
        """Return the largest value of any winter, shape (draws,)."""
        return np.max(winters_of(self.costing.winters, figure), axis=-1).reshape(-1)

    def position(self, key: str) -> int:
        """Return where a system stands among those by key."""
        return self.keys.index(key)

    @cached_property
    def _costs(self) -> Array:
        return self._stacked(
            [_annual(self.costing.systems[key]) for key in self.keys],
        )

    @cached_property
    def scores(self) -> Array:
        """What systems are ranked by, the least first, shape (systems, draws)."""
        if not has_herd_change(self.costing):
            return self._costs
        earned = [earned_before_winter(self.costing, key)[..., 0] for key in self.keys]
        return self._stacked([*-(self._stacked(earned) - self._costs)])

    @cached_property
    def ranks(self) -> NDArray[np.intp]:
        """Rank of each system, 1 for the least, shape (systems, draws)."""
        return _ranked(self.scores)

    @cached_property
    def without_share(self) -> Array:
        """Annual equivalents if no cost-share comes, shape (systems, draws)."""
        return self._stacked([_without_share(self.costing.systems[key]) for key in self.keys])

    @cached_property
    def winters_won(self) -> NDArray[np.intp]:
        """Winters in which each system is the cheapest, shape (systems, draws)."""
        costing = self.costing
        winters = self._stacked(
            [
                winters_of(costing.winters, costing.systems[key].account.by_winter)
                for key in self.keys
            ]
        )
        table = winters + (self.scores - self._costs)[..., None]
        order = np.argsort(self.scores, axis=0, kind="stable")
        ordered = np.take_along_axis(table, order[..., None], axis=0)
        first = np.argmin(ordered, axis=0)
        winner = order[first, np.arange(order.shape[1])[:, None]]
        return np.stack([(winner == number).sum(axis=-1) for number in range(len(self.keys))])

    @staticmethod
    def _stacked(values: Sequence[Array]) -> Array:
        return np.stack(np.broadcast_arrays(*values))


Reader = Callable[[Draws, SystemCosting], Values]


def _annual(system: SystemCosting) -> Array:
    return system.account.annual_equivalent.value[:, 0]


def _without_share(system: SystemCosting) -> Array:
    return _annual(system) - _share(system)


def _share(system: SystemCosting) -> Array:
    return system.account.lines.value[COST_SHARE, :, 0]


def _ranked(scores: Array) -> NDArray[np.intp]:
    order = np.argsort(scores, axis=0, kind="stable")
    return np.argsort(order, axis=0, kind="stable") + 1


def _paid(system: SystemCosting, *, shared: bool = True) -> Array:
    """Return what is paid in each year, with or without cost-share, shape (years + 1, draws)."""
    paid = system.account.paid_by_year.value[:, :, 0]
    return paid if shared else paid - system.account.lines_by_year.value[:, COST_SHARE, :, 0]


def _net_present_without_share(draws: Draws, system: SystemCosting) -> Array:
    factor = np.reshape(draws.costing.money.capital_recovery.value, -1)
    return system.account.net_present_cost.value[:, 0] - _share(system) / factor


def _rank_without_share(draws: Draws, system: SystemCosting) -> Array:
    costs = draws.without_share
    return 1 + (costs < costs[draws.position(system.run.key)]).sum(axis=0)


def _margin(draws: Draws, system: SystemCosting) -> Values:
    if not has_herd_change(draws.costing):
        return None
    return -draws.scores[draws.position(system.run.key)]


def _against_baseline(draws: Draws, system: SystemCosting) -> Values:
    baseline = draws.costing.baseline
    return None if system is baseline else _annual(system) - _annual(baseline)


def _line(position: int) -> Reader:
    return lambda _, system: system.account.lines.value[position, :, 0]


def _dry_tons(of: Callable[[SystemCosting], Figure]) -> Reader:
    return lambda draws, system: draws.mean(of(system)) / POUNDS_PER_TON


def _dry_matter(draws: Draws) -> Array:
    hay = draws.costing.case.scenario.hay
    return draws.given("hay.dry_matter_fraction", hay.dry_matter_fraction)


def _hay_needed(draws: Draws, system: SystemCosting) -> Array:
    return draws.mean(system.feed.hay_stored) / POUNDS_PER_TON / _dry_matter(draws)


def _late_hay(draws: Draws, system: SystemCosting) -> Array:
    return draws.mean(system.feed.late_summer_hay) / POUNDS_PER_TON / _dry_matter(draws)


def _home(draws: Draws) -> Array:
    hay = draws.costing.case.scenario.hay
    return draws.given("hay.home_grown_fraction", hay.home_grown_fraction)


def _bales(draws: Draws, system: SystemCosting, *, worst: bool) -> Array:
    hay = draws.costing.case.scenario.hay
    bale = draws.given("hay.bale_weight_lb", hay.bale_weight_lb) * _dry_matter(draws)
    stored = system.feed.hay_stored
    return (draws.largest(stored) if worst else draws.mean(stored)) / bale


def _on_hand(draws: Draws, _: SystemCosting) -> Array:
    return draws.given("hay.bales_on_hand", draws.costing.case.scenario.hay.bales_on_hand)


def _short(draws: Draws, system: SystemCosting, *, worst: bool) -> Array:
    return np.asarray(bales_short(_bales(draws, system, worst=worst), _on_hand(draws, system)))


def _spare(draws: Draws, system: SystemCosting, *, worst: bool) -> Array:
    return np.asarray(bales_short(_on_hand(draws, system), _bales(draws, system, worst=worst)))


def _to_buy(draws: Draws, system: SystemCosting, *, worst: bool) -> Array:
    return np.asarray(bales_to_buy(_short(draws, system, worst=worst)))


def _in_mean_and_worst() -> Iterator[tuple[str, Reader]]:
    for word, worst in (("mean", False), ("worst", True)):
        yield f"needed_{word}", partial(_bales, worst=worst)
        yield f"short_{word}", partial(_short, worst=worst)
        yield f"spare_{word}", partial(_spare, worst=worst)
        yield f"to_buy_{word}", partial(_to_buy, worst=worst)


def _machine_hours(draws: Draws, system: SystemCosting) -> Array:
    return draws.mean(system.labor.machine_hours) if system.labor else np.zeros(1)


def _severity(position: int) -> Reader:
    return lambda draws, system: acres_damaged_by_draw(draws.costing, system)[position]


WITHOUT_SHARE: Mapping[str, Reader] = {
    "annual_equivalent_cost": lambda _, system: _without_share(system),
    "out_of_pocket": lambda _, system: system.account.out_of_pocket.value[:, 0] - _share(system),
    "net_present_cost": _net_present_without_share,
    "first_year_cash": lambda _, system: _paid(system, shared=False)[:2].sum(axis=0),
    "peak_yearly_cash": lambda _, system: _paid(system, shared=False).max(axis=0),
    "rank": _rank_without_share,
}

BY_DRAW: Mapping[str, Reader] = {
    "annual_equivalent_cost": lambda _, system: _annual(system),
    "out_of_pocket": lambda _, system: system.account.out_of_pocket.value[:, 0],
    "without_cost_share": lambda _, system: _without_share(system),
    "net_present_cost": lambda _, system: system.account.net_present_cost.value[:, 0],
    "first_year_cash": lambda _, system: _paid(system)[:2].sum(axis=0),
    "peak_yearly_cash": lambda _, system: _paid(system).max(axis=0),
    "first_cost": lambda _, system: money_up_front_by_draw(system),
    "farm_margin": _margin,
    "rank": lambda draws, system: draws.ranks[draws.position(system.run.key)],
    "cheapest_in_winters": lambda draws, system: draws.winters_won[draws.position(system.run.key)],
    **{f"without_cost_share_figures.{name}": reader for name, reader in WITHOUT_SHARE.items()},
    **{f"lines.{key}": _line(position) for position, key in enumerate(LINES)},
    "against_baseline.annual_difference": _against_baseline,
    "quantities.hay_needed_ton": _hay_needed,
    "quantities.hay_home_grown_ton": lambda d, s: _hay_needed(d, s) * _home(d),
    "quantities.hay_bought_ton": lambda d, s: _hay_needed(d, s) * (1 - _home(d)) + _late_hay(d, s),
    "quantities.late_summer_hay_ton": _late_hay,
    "quantities.hay_eaten_ton_dm": _dry_tons(lambda system: system.feed.hay_eaten),
    "quantities.hay_wasted_ton_dm": _dry_tons(lambda system: system.feed.hay_wasted),
    "quantities.hay_lost_in_storage_ton_dm": _dry_tons(lambda system: system.feed.hay_lost),
    "quantities.stockpile_eaten_ton_dm": _dry_tons(lambda system: system.feed.stockpile_eaten),
    "quantities.supplement_ton_dm": _dry_tons(lambda system: system.feed.supplement),
    **{f"quantities.bales.{name}": reader for name, reader in _in_mean_and_worst()},
    "quantities.bales.on_hand": _on_hand,
    "quantities.labor_hours": lambda draws, system: labor_hours_by_draw(draws.costing, system),
    "quantities.machine_hours": _machine_hours,
    "quantities.minutes.ordinary_day": lambda draws, system: ordinary_minutes_by_draw(
        draws.costing, system
    ),
    **{
        f"quantities.acres_damaged.{severity}": _severity(position)
        for position, severity in enumerate(SEVERITIES)
    },
    "quantities.acres_damaged.total": lambda draws, system: acres_damaged_by_draw(
        draws.costing, system
    ).sum(axis=0),
}
"""How each figure is read that every draw of a run has; all others need a costing of their own."""


def figures_by_draw(
    costing: Costing, figures: Sequence[str], draws: int
) -> dict[str, list[list[Any]]]:
    """Read figures of all draws.

    Parameters
    ----------
    costing : Costing
        What the engine worked.
    figures : sequence of str
        Their paths, all of `BY_DRAW`.
    draws : int
        How many draws there are.

    Returns
    -------
    dict
        For each system, in the order of the scenario, one list of values for each draw.
    """
    read = Draws(costing)
    found: dict[str, list[list[Any]]] = {}
    for key, system in costing.systems.items():
        columns = [_listed(BY_DRAW[figure](read, system), draws) for figure in figures]
        found[key] = [list(row) for row in zip(*columns, strict=True)]
    return found


def figures_alone(costing: Costing, figures: Sequence[str]) -> dict[str, list[Any]]:
    """Read figures of a costing without draws, by system.

    Parameters
    ----------
    costing : Costing
        What the engine worked.
    figures : sequence of str
        Their paths, as in the catalogue of figures.
    """
    if all(figure in BY_DRAW for figure in figures):
        return {key: rows[0] for key, rows in figures_by_draw(costing, figures, 1).items()}
    document = costing_document(costing)
    systems = {system["system"]: _view(document, system) for system in document["systems"]}
    return {key: [_value_at(systems[key], figure) for figure in figures] for key in costing.systems}


def _listed(values: Values, draws: int) -> list[Any]:
    return [None] * draws if values is None else np.broadcast_to(values, (draws,)).tolist()


def _view(document: Mapping[str, Any], system: Mapping[str, Any]) -> dict[str, Any]:
    """Return a system as a document, with its lists as maps and what all systems share."""
    return {
        **document,
        **system,
        "lines": {line["line"]: line["annual_equivalent"] for line in system["lines"]},
        "by_winter": {row["season"]: row for row in system["by_winter"]},
    }


def _value_at(node: object, figure: str) -> Any:  # noqa: ANN401 - a number, a word or None
    """Return what a path leads to, None if the system has no such figure."""
    path = figure.removesuffix(TOTAL)
    for name in path.split("."):
        node = node.get(name) if is_object(node) else None
    if path != figure:
        return sum(node.values()) if is_object(node) else None
    return None if is_object(node) else node
