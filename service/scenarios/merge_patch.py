"""JSON merge patches."""

from typing import Any

from service.costing.json_shapes import is_object


def patched(target: Any, patch: Any) -> Any:  # noqa: ANN401 - any JSON values
    """Return a value with a merge patch applied; neither is changed.

    An object is merged member by member and null removes a member; anything else, a list too,
    takes the place of what was there.

    References
    ----------
    .. [1] P. Hoffman and J. Snell, *JSON Merge Patch*, RFC 7396, 2014, section 2.
    """
    if not is_object(patch):
        return patch
    merged: dict[str, Any] = dict(target) if is_object(target) else {}
    for name, value in patch.items():
        if value is None:
            merged.pop(name, None)
        else:
            merged[name] = patched(merged.get(name), value)
    return merged
