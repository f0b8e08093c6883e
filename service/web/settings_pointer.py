"""Where in a body the settings of single inputs stand."""

from collections.abc import Callable, Mapping
from typing import Any

from service.costing.input_paths import escaped

SET = "/set"


def pointer_to_settings(settings: Mapping[str, Any]) -> Callable[[str], str]:
    """Return what gives the JSON Pointer of an input in a body that is not the document.

    Parameters
    ----------
    settings : mapping
        The settings as sent. An input that none of them is about stands nowhere in the body, which
        is then pointed to as a whole.
    """

    def pointer(path: str) -> str:
        for key in settings:
            if path == key or path.startswith(f"{key}."):
                return f"{SET}/{escaped(key)}"
        return ""

    return pointer
