"""The kinds of structure, one file a family; the registry is all that the engine knows of them."""

from service.costing.structures.buildings import PackFloor, Roof
from service.costing.structures.fence_and_feeders import (
    AccessLane,
    Equipment,
    Feeder,
    Fence,
)
from service.costing.structures.pads import ConcretePad, GravelPad, Mound
from service.costing.structures.stores import HayStorage, ManureStorage, TreatmentStrip
from service.costing.structures.structure import CostShare, Structure
from service.costing.structures.water import Pipeline, Pump, Waterer

KINDS: dict[str, type[Structure]] = {
    "access_lane": AccessLane,
    "concrete_pad": ConcretePad,
    "equipment": Equipment,
    "feeder": Feeder,
    "fence": Fence,
    "gravel_pad": GravelPad,
    "hay_storage": HayStorage,
    "manure_storage": ManureStorage,
    "mound": Mound,
    "pack_floor": PackFloor,
    "pipeline": Pipeline,
    "pump": Pump,
    "roof": Roof,
    "treatment_strip": TreatmentStrip,
    "waterer": Waterer,
}

__all__ = ["KINDS", "CostShare", "Structure"]
