"""Where in a body the settings of single inputs stand."""

from collections.abc import Callable, Collection, Mapping
from typing import Any

from service.costing.input_paths import escaped

SET = "/set"


def pointer_to_settings(
    settings: Mapping[str, Any], beside: Collection[str] = ()
) -> Callable[[str], str]:
    """Return what gives the JSON Pointer of an input in a body that is not the document.

    Parameters
    ----------
    settings : mapping
        The settings as sent. An input that none of them is about stands nowhere in the body, which
        is then pointed to as a whole.
    beside : collection of str
        Inputs that stand in the body beside the settings.
    """

    def pointer(path: str) -> str:
        for key in settings:
            if path == key or path.startswith(f"{key}."):
                return f"{SET}/{escaped(key)}"
        if path in beside:
            return f"/{path}"
        return SET if path == "set" else ""

    return pointer
