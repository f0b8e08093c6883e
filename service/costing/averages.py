"""Means over the winters, and single numbers out of figures."""

import numpy as np

from service.costing.figure import Figure
from service.costing.units import Array, Numeric
from service.costing.winter_rows import WinterRows


def number(value: Numeric) -> float:
    """Return the one number that a value holds; of several draws the first."""
    return float(np.asarray(value).reshape(-1)[0])


def winters_of(winters: WinterRows, figure: Figure) -> Array:
    """Return the values of the winters, without the made-up mean winter, rows last."""
    count = len(winters.seasons)
    value = np.atleast_1d(figure.value)
    if value.shape[-1] == 1:
        return np.broadcast_to(value, (*value.shape[:-1], count))
    return value[..., :count]


def mean_of(winters: WinterRows, figure: Figure) -> Array:
    """Return the mean of the winters by weight, without the row axis."""
    weight = winters.weight.value[:-1]
    return np.add.reduce(winters_of(winters, figure) * weight, axis=-1) / np.add.reduce(weight)


def mean(winters: WinterRows, figure: Figure) -> float:
    """Return the mean of the winters by weight as one number."""
    return number(mean_of(winters, figure))


def largest(winters: WinterRows, figure: Figure) -> float:
    """Return the largest value of any winter."""
    return float(np.max(winters_of(winters, figure)))


def smallest(winters: WinterRows, figure: Figure) -> float:
    """Return the smallest value of any winter."""
    return float(np.min(winters_of(winters, figure)))


def by_group(winters: WinterRows, figure: Figure, groups: list[str]) -> dict[str, float]:
    """Return the mean of the winters for each group of a figure with a group axis."""
    values = np.asarray(figure.value)
    full = np.broadcast_to(values, np.broadcast_shapes(values.shape, (len(groups), 1, 1, 1)))
    means = mean_of(winters, Figure(full, figure.unit))
    return {group: number(means[i]) for i, group in enumerate(groups)}
