"""What the ground is judged by: drainage, window and thresholds, all of them visible settings."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from hashlib import sha256
from typing import Any

CLASSIFIER_VERSION = 1
"""Rises with every change of the rules that could give another count of days."""

HASH_LETTERS = 12


@dataclass(frozen=True, slots=True)
class WeatherSettings:
    """Settings of a classification."""

    first_day: str = "11-01"
    """First day of the winters that are counted, MM-DD."""
    last_day: str = "04-15"
    """Last day of them, counted too; may lie in the next year."""
    drainage: str = "moderate"
    """How the soil drains: ``well``, ``moderate`` or ``poor``."""
    frozen_index: float = 56.0
    """Frozen-ground index from which the ground bears [°C day]."""
    mud_deficit_mm: float = 0.0
    """Soil moisture deficit under which the ground is wet [mm]."""

    def as_document(self) -> dict[str, Any]:
        """Return the settings as they are answered and kept."""
        return {
            "drainage": self.drainage,
            "window": {"first_day": self.first_day, "last_day": self.last_day},
            "thresholds": {
                "frozen_index": self.frozen_index,
                "mud_deficit_mm": self.mud_deficit_mm,
            },
        }


def settings_of(document: Mapping[str, Any]) -> WeatherSettings:
    """Return the settings that were kept as a document."""
    window, thresholds = document["window"], document["thresholds"]
    return WeatherSettings(
        first_day=window["first_day"],
        last_day=window["last_day"],
        drainage=document["drainage"],
        frozen_index=thresholds["frozen_index"],
        mud_deficit_mm=thresholds["mud_deficit_mm"],
    )


def classifier_of(settings: WeatherSettings) -> str:
    """Return the name of a classification: the version of the rules and a hash of the settings."""
    text = json.dumps(asdict(settings), sort_keys=True)
    digest = sha256(text.encode()).hexdigest()[:HASH_LETTERS]
    return f"{CLASSIFIER_VERSION}-{digest}"
