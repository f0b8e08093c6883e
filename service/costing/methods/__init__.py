"""The feeding methods, one file each; the registry is all that the engine knows of them."""

from service.costing.methods.bale_grazing import BaleGrazing
from service.costing.methods.bedded_pack import BeddedPack
from service.costing.methods.feeding_pad import FeedingPad
from service.costing.methods.sacrifice_lot import SacrificeLot
from service.costing.methods.step import Step
from service.costing.methods.stockpile_grazing import StockpileGrazing
from service.costing.methods.unrolled_hay import UnrolledHay

METHODS: dict[str, type[Step]] = {
    "bale_grazing": BaleGrazing,
    "bedded_pack": BeddedPack,
    "feeding_pad": FeedingPad,
    "sacrifice_lot": SacrificeLot,
    "stockpile_grazing": StockpileGrazing,
    "unrolled_hay": UnrolledHay,
}

__all__ = ["METHODS", "Step"]
