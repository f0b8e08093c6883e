"""What a system needs at hand: bought for the winter, built, and for the ground after it."""

from itertools import chain

from service.season.plan.materials_bought import bedding, hay, late_summer_hay, supplement
from service.season.plan.materials_built import structures
from service.season.plan.materials_of_land import nitrogen, repair
from service.season.plan.records import Material
from service.season.subject import SeasonSubject

PARTS = (hay, late_summer_hay, supplement, bedding, nitrogen, structures, repair)


def materials_of(subject: SeasonSubject) -> tuple[Material, ...]:
    """Return what must be bought or built, in the mean of the winters; nothing that is there."""
    return tuple(chain.from_iterable(part(subject) for part in PARTS))
