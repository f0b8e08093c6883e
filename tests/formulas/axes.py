"""Single numbers in the shapes that formulas take, and out of them again."""

import numpy as np


def by_group(*values):
    """Return one number for each herd group, shape (groups, 1, 1, 1)."""
    return np.array(values, float).reshape(-1, 1, 1, 1)


def by_state(*values):
    """Return one number for each ground state, shape (states, 1, 1)."""
    return np.array(values, float).reshape(-1, 1, 1)


by_task = by_nutrient = by_entry = by_stage = by_severity = by_state
"""Tasks, nutrients, entries, severities and one group's stages lie on the axis of ground states."""


def by_year(*values):
    """Return one entry's money in each year, shape (years + 1, 1, 1, 1)."""
    return np.array(values, float).reshape(-1, 1, 1, 1)


def only(array):
    """Return the number in an array that holds one alone."""
    return float(np.asarray(array).item())
