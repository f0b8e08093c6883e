"""What a farm's recorded winters offer in the place of the tables' waste, minutes and damage."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor, log, log10
from typing import Any

from service.analysis.held_damage import TRAMPLING
from service.costing.reference.keys import template_of
from service.costing.scenario import Scenario
from service.season.figures import figure_of
from service.season.own_figures.damage import damage_told
from service.season.own_figures.minutes import WORK, minutes_told
from service.season.own_figures.ratios import (
    RecordedWinter,
    Told,
    WinterRead,
    read_winter,
)
from service.season.own_figures.records import Kind, LeftOut, OwnFigure, OwnFigures, OwnValue
from service.season.own_figures.shrinkage import Shrunk, shrunk
from service.season.own_figures.starting import HAY_WASTE, Starting, most_of, starting
from service.season.own_figures.waste import waste_told
from service.season.own_figures.words import METHOD, TITLES, said_of

SIGNIFICANT = 4
"""Figures of a value in the patch."""
PREFIXES: dict[Kind, str] = {"waste": HAY_WASTE, "minutes": WORK, "damage": TRAMPLING}
NOT_USED = "nothing that this system uses was in use that winter"


@dataclass(frozen=True)
class _Heard:
    """All that the winters say of one figure."""

    kind: Kind
    told: list[Told]
    left_out: list[LeftOut]


def own_figures(current: Scenario, recorded: Sequence[RecordedWinter], system: str) -> OwnFigures:
    """Return what recorded winters offer one system of a scenario.

    Parameters
    ----------
    current : Scenario
        The one that the figures are offered for.
    recorded : sequence of RecordedWinter
        Winters of this farm; of other revisions and with other systems too.
    system : str
        Key of a system of the scenario.

    Returns
    -------
    OwnFigures
        Waste, minutes and damage in this order, with a patch of the scenario's document that takes
        over all that is offered. Nothing is changed here.

    Raises
    ------
    InputError
        If the scenario cannot be costed.
    """
    start = starting(current, system)
    reads = [read_winter(start, winter) for winter in recorded]
    figures = [_figure(start, heard) for heard in _heard(start, reads)]
    return OwnFigures(tuple(figures), _patch(start, figures), METHOD)


def _heard(start: Starting, reads: Sequence[WinterRead | LeftOut]) -> list[_Heard]:
    """Ask every winter for each figure: waste first, since the bales fed tell how much was done."""
    waste = _Heard("waste", [], [])
    minutes = _Heard("minutes", [], [])
    damage = _Heard("damage", [], [])
    for read in reads:
        if isinstance(read, LeftOut):
            for heard in (waste, minutes, damage):
                heard.left_out.append(read)
            continue
        told, fed = waste_told(read)
        _take_in(start, waste, told, read)
        _take_in(start, minutes, minutes_told(fed), read)
        _take_in(start, damage, damage_told(fed), read)
    return [waste, minutes, damage]


def _take_in(start: Starting, heard: _Heard, said: Told | LeftOut, read: WinterRead) -> None:
    if isinstance(said, LeftOut):
        heard.left_out.append(said)
    elif said.keys & start.own_keys:
        heard.told.append(said)
    else:
        heard.left_out.append(LeftOut(read.recorded.season, NOT_USED))


def _figure(start: Starting, heard: _Heard) -> OwnFigure:
    prefix = PREFIXES[heard.kind]
    own = {key for key in start.own_keys if key.startswith(prefix)}
    seen = {key for told in heard.told for key in told.keys} & own
    values = start.values(seen)
    found = shrunk(
        [log(told.ratio.ratio) for told in heard.told],
        start.spread(values or own),
        figure_of(f"own.{heard.kind}.winter_spread").usual,
    )
    offered = tuple(_value(start, key, value, found) for key, value in values.items())
    return OwnFigure(
        kind=heard.kind,
        title=TITLES[heard.kind],
        winters=tuple(told.ratio for told in heard.told),
        left_out=tuple(heard.left_out),
        mean_ratio=found.mean_ratio,
        weight=found.weight,
        ratio=found.ratio,
        low=found.low,
        high=found.high,
        values=offered,
        words=said_of(start, heard.kind, heard.told, heard.left_out, found, offered),
    )


def _value(start: Starting, key: str, value: float, found: Shrunk) -> OwnValue:
    template, most = template_of(key), most_of(start.scenario, key)
    return OwnValue(
        path=f"assumptions.{key}",
        unit=template.unit if template else "",
        reference=value,
        own=min(value * found.ratio, most),
        low=min(value * found.low, most),
        high=min(value * found.high, most),
    )


def _patch(start: Starting, figures: Sequence[OwnFigure]) -> dict[str, Any]:
    """Return the merge patch that takes over all that is offered; empty where nothing is."""
    assumptions = {
        value.path.removeprefix("assumptions."): rounded(value.own)
        for figure in figures
        for value in figure.values
    }
    if not assumptions:
        return {}
    takes_damage = any(key.startswith(TRAMPLING) for key in assumptions)
    if start.scale is None or not takes_damage:
        return {"assumptions": assumptions}
    carried = _carrying_scale(start, assumptions)
    return {
        "land": {"acres_repaired_last_spring": None},
        "assumptions": carried | assumptions,
    }


def _carrying_scale(start: Starting, offered: Mapping[str, float]) -> dict[str, float]:
    """Return what else is trampled, scaled: without it the other systems would change."""
    scale = start.scale or 1.0
    used = start.costing.case.used
    return {
        key: min(float(used[key]) * scale, most_of(start.scenario, key))
        for key in sorted(used)
        if key.startswith(TRAMPLING) and key not in offered
    }


def rounded(value: float) -> float:
    """Return a value with four significant figures."""
    if value == 0:
        return 0.0
    return round(value, SIGNIFICANT - 1 - floor(log10(abs(value))))
