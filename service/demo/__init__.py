"""The demo farm: invented, as are its place, people, quotes and records."""

import json
from importlib.resources import files
from typing import Any

DEMO_FILE = "whetstone_hollow.json"


def demo_document() -> dict[str, Any]:
    """Return the scenario document of the demo farm."""
    return json.loads((files(__package__ or "service.demo") / DEMO_FILE).read_text("utf-8"))
