"""What all systems share, and what one system is."""

from dataclasses import dataclass
from typing import Any

from service.quick_start.answers import Answers
from service.quick_start.built import RACK
from service.quick_start.draft import Draft
from service.quick_start.herd import cattle_of, sheep_of
from service.quick_start.land import Ground
from service.quick_start.steps import FEEDING, lot

TODAY = "today"
CATTLE, SHEEP = "cattle", "sheep"
BETTER = {
    "no_feeder": "ring_solid_bottom",
    "ring_open": "ring_solid_bottom",
    "ring_solid_bottom": "ring_cone",
}
"""The feeder that wastes less, where there is one."""

FED = {
    "open_ring": "ring_open",
    "solid_ring": "ring_solid_bottom",
    "cone_ring": "ring_cone",
    "rack_or_bunk": "bunk",
}
RING_PICTURES = frozenset({"open_ring", "solid_ring", "cone_ring"})


@dataclass(frozen=True, slots=True)
class Setting:
    """What all systems share: the farm so far, who is fed together, how much hay they eat."""

    draft: Draft
    answers: Answers
    ground: Ground
    bales: float
    """Bales that cattle, or a flock alone, are fed in a winter on a lot [bale]."""

    @property
    def document(self) -> dict[str, Any]:
        """The farm so far."""
        return self.draft.document

    @property
    def main(self) -> list[str]:
        """Groups that the systems are about: cattle, or a flock alone."""
        return cattle_of(self.document["herd"]) or list(self.document["herd"])

    @property
    def key(self) -> str:
        """What their hay step is called."""
        return CATTLE if cattle_of(self.document["herd"]) else SHEEP

    @property
    def beside(self) -> list[str]:
        """Sheep beside cattle, fed for themselves."""
        herd = self.document["herd"]
        return sheep_of(herd) if cattle_of(herd) else []

    @property
    def picture(self) -> str:
        """How they are fed today."""
        told = self.answers.get(FEEDING, "picture")
        return told or ("open_ring" if self.key == CATTLE else "rack_or_bunk")

    @property
    def presentation(self) -> str:
        """How hay is put before them today, where they stand on a lot."""
        if self.key == SHEEP and self.picture not in RING_PICTURES:
            return RACK
        return FED.get(self.picture, "ring_open")

    @property
    def better(self) -> str:
        """How hay would be put before them with less waste."""
        if self.key == SHEEP:
            return RACK
        return BETTER.get(self.presentation, self.presentation)

    @property
    def in_barn(self) -> str:
        """How hay is put before them in a barn."""
        return RACK if self.key == SHEEP else "bunk"

    @property
    def first_day(self) -> str:
        """First day of winter."""
        return self.document["winter"]["first_day"]

    def lot(self, presentation: str) -> dict[str, Any]:
        """Return the step of hay on the lot of today."""
        return lot(self.key, self.main, presentation, self.ground.lot)


@dataclass(frozen=True, slots=True)
class Offer:
    """One system with the reason why it is in the list."""

    key: str
    why: str
    system: dict[str, Any]
