"""The fields of a system in winter, held against setbacks, slope, drainage and water."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from service.costing.caution_table import caution_table
from service.costing.farm import Field
from service.costing.reference.setbacks import DISCLAIMER, Place, place_called
from service.costing.triggers.facts import Facts
from service.costing.triggers.setback_checks import (
    SetbackCheck,
    applying,
    feet,
    setback_checks,
    water_asked,
)
from service.costing.triggers.site_uses import Use, fields_of, uses_of
from service.costing.wording import named
from service.season.site.ground_words import remarks_of
from service.season.site.not_estimated import ALWAYS, NO_DISTANCE
from service.season.site.nutrients import Brought, WhereItStays, where_it_stays
from service.season.site.records import Elsewhere, FieldScreen, NotEstimated, SiteScreening
from service.season.subject import SeasonSubject

COUNTED = {
    "kept": "kept",
    "too_near": "too near",
    "not_known": "not known",
    "not_checked": "not checked for want of a setback",
}


def screened(subject: SeasonSubject) -> SiteScreening:
    """Hold the fields that a system uses in winter against what is known of them.

    The nutrients are those of hay eaten and wasted, in the mean of the winters, on the field where
    they stay; what is taken off floors is apart.
    """
    facts = Facts(subject.costing, subject.costed)
    land = subject.scenario.land
    place = place_called(land.place) if land.place is not None else None
    near_ft, near_words = _near_water(facts, place)
    uses = uses_of(facts)
    stays = where_it_stays(facts)
    keys = list(dict.fromkeys([*fields_of(uses), *stays.by_field]))
    fields = tuple(_field(facts, key, uses, place, stays, near_ft) for key in keys)
    near = [field for field in fields if field.near_water]
    checks = tuple(setback_checks(facts))
    return SiteScreening(
        system=subject.key,
        title=subject.result["title"],
        place=land.place,
        place_title=place.title if place else None,
        setback_ft=land.setback_ft,
        fields=fields,
        elsewhere=tuple(_elsewhere(stays)),
        checks=checks,
        setbacks=place.setbacks if place else (),
        near_water_ft=near_ft,
        near_water_words=near_words,
        nitrogen_near_water_lb=sum(field.nitrogen_lb for field in near),
        phosphorus_near_water_lb=sum(field.phosphorus_lb for field in near),
        p2o5_near_water_lb=sum(field.p2o5_lb for field in near),
        not_estimated=tuple(_not_estimated(fields)),
        sentence=_sentence(checks, place, land.setback_ft),
        disclaimer=DISCLAIMER,
    )


def _near_water(facts: Facts, place: Place | None) -> tuple[float, str]:
    """Return what counts as near water, and where it comes from."""
    asked = water_asked(facts)
    if asked:
        whose = f"{place.title} asks" if place else "you read in your local code"
        if place and max(asked) == facts.scenario.land.setback_ft:
            whose = "you read in your local code"
        return max(asked), f"The largest distance to water that {whose} for what is done here."
    limit = caution_table()["wells"].limit
    why = f"{place.title} has no distance to water in the table" if place else "no place is chosen"
    words = (
        f"{feet(limit)} because {why}: the distance at which a caution on wells is given, from one "
        "Ohio county's guide on manure stacks. It is no setback of this place."
    )
    return limit, words[:1].upper() + words[1:]


def _field(
    facts: Facts,
    key: str,
    uses: list[Use],
    place: Place | None,
    stays: WhereItStays,
    near_ft: float,
) -> FieldScreen:
    field = facts.field(key)
    here = [use for use in uses if use.field == key]
    rows = [row for use in here for row in applying(use, place)] if place else []
    brought = stays.by_field.get(key, Brought())
    return FieldScreen(
        field=key,
        title=named(field.title, key),
        uses=tuple(use.words for use in here),
        acres=field.acres,
        slope_percent=field.slope_percent,
        drainage=field.drainage,
        distance_to_water_ft=field.distance_to_water_ft,
        remarks=remarks_of(field, rows, near_ft),
        nitrogen_lb=brought.nitrogen_lb,
        phosphorus_lb=brought.phosphorus_lb,
        p2o5_lb=brought.p2o5_lb,
        near_water=_is_near(field, near_ft),
    )


def _is_near(field: Field, near_ft: float) -> bool:
    return field.distance_to_water_ft is not None and field.distance_to_water_ft < near_ft


def _elsewhere(stays: WhereItStays) -> Iterator[Elsewhere]:
    for what, why, brought in (
        (
            "Taken off floors with the manure",
            "It lies there or in a store until it is spread; where that is, nobody has said.",
            stays.collected,
        ),
        (
            "Left on floors whose field is not given",
            "Say on which field the floor stands.",
            stays.no_field,
        ),
    ):
        if brought.nitrogen_lb or brought.p2o5_lb:
            yield Elsewhere(what, why, brought.nitrogen_lb, brought.phosphorus_lb, brought.p2o5_lb)


def _not_estimated(fields: Iterable[FieldScreen]) -> Iterator[NotEstimated]:
    unknown = [field.title for field in fields if field.distance_to_water_ft is None]
    if unknown:
        yield replace(NO_DISTANCE, why=NO_DISTANCE.why.format(fields=", ".join(unknown)))
    yield from ALWAYS


def _sentence(
    checks: tuple[SetbackCheck, ...], place: Place | None, setback_ft: float | None
) -> str:
    if place is None and setback_ft is None:
        return "No place chosen: no setback was checked."
    whose = f"Setbacks of {place.title}" if place else "Your own setback"
    if not checks:
        return f"{whose}: nothing is done here of which a setback speaks."
    counts = Counter(check.verdict for check in checks)
    checked = len(checks) - counts["not_checked"]
    told = ", ".join(
        f"{counts[verdict]} {words}" for verdict, words in COUNTED.items() if counts[verdict]
    )
    return f"{whose}, {checked} checked: {told}. To be confirmed by the agency."
