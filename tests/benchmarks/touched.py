"""Bytes that NumPy reads and writes while a piece of work runs, counted on the arrays it is given.

The count follows the arrays: whatever is made of a counted array is counted too.
"""

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

_PLAIN = np.ndarray


class Counted(np.ndarray):
    """An array that adds up what is touched; views and results are of its kind."""

    total = 0
    calls = 0

    def __array_ufunc__(
        self, ufunc: np.ufunc, method: str, *inputs: Any, out: Any = None, **more: Any
    ) -> Any:
        """Do what is asked on plain arrays, and count."""
        given = [_plain(one) for one in inputs]
        if out is not None:
            more["out"] = tuple(_plain(one) for one in out)
        if "where" in more:
            more["where"] = _plain(more["where"])
        result = getattr(ufunc, method)(*given, **more)
        return _noted(given, result)

    def __array_function__(
        self, func: Callable[..., Any], types: Iterable[type], args: Any, kwargs: Any
    ) -> Any:
        """Do the same for functions that are no ufuncs, and count those that make an array."""
        given = _all_plain(args)
        result = func(*given, **{name: _all_plain(one) for name, one in kwargs.items()})
        arrays = [one for one in _flat(given) if isinstance(one, _PLAIN)]
        if isinstance(result, _PLAIN) and result.base is not None:
            return result.view(Counted)  # another look at the same bytes: nothing is touched
        return _noted(arrays, result)


def touched(work: Callable[[dict[str, Any]], object], varied: dict[str, Any]) -> tuple[int, int]:
    """Return how many bytes are touched, and in how many calls.

    Parameters
    ----------
    work : callable
        Takes the arrays and works with them.
    varied : dict of str to ndarray
        The arrays.
    """
    Counted.total = Counted.calls = 0
    work({path: values.view(Counted) for path, values in varied.items()})
    return Counted.total, Counted.calls


def _noted(given: Iterable[Any], result: Any) -> Any:
    results = result if isinstance(result, tuple) else (result,)
    arrays = [one for one in (*given, *results) if isinstance(one, _PLAIN)]
    Counted.total += sum(one.nbytes for one in arrays)
    Counted.calls += 1
    if isinstance(result, tuple):
        return tuple(_counted(one) for one in result)
    return _counted(result)


def _counted(one: Any) -> Any:
    return one.view(Counted) if isinstance(one, _PLAIN) else one


def _plain(one: Any) -> Any:
    return one.view(_PLAIN) if isinstance(one, Counted) else one


def _all_plain(one: Any) -> Any:
    if isinstance(one, list | tuple):
        return type(one)(_all_plain(part) for part in one)
    return _plain(one)


def _flat(one: Any) -> list[Any]:
    if isinstance(one, list | tuple):
        return [inner for part in one for inner in _flat(part)]
    return [one]
