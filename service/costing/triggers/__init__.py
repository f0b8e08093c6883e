"""What triggers each caution: one function each, by the key of the caution."""

from service.costing.triggers.animals import ANIMAL_TRIGGERS
from service.costing.triggers.building import BUILDING_TRIGGERS
from service.costing.triggers.facts import Trigger
from service.costing.triggers.feed import FEED_TRIGGERS
from service.costing.triggers.place import PLACE_TRIGGERS
from service.costing.triggers.work import WORK_TRIGGERS

TRIGGERS: dict[str, Trigger] = (
    ANIMAL_TRIGGERS | BUILDING_TRIGGERS | FEED_TRIGGERS | PLACE_TRIGGERS | WORK_TRIGGERS
)

__all__ = ["TRIGGERS"]
