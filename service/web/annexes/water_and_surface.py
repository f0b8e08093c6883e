"""For the engineer: rain and runoff, and the surface that is built."""

from collections.abc import Iterator

from service.costing.units import INCHES_PER_FOOT
from service.costing.wording import spoken
from service.season.planning import mark_of, planned, planning
from service.web.annexes.annex import Block, Item, Origin, stated, unknown
from service.web.annexes.subject import AnnexSubject

STRIP = "space.treatment_strip.sq_ft_per_sq_ft_of_lot"


def runoff_block(subject: AnnexSubject) -> Block:
    """Return what rain falls where, and what takes the runoff."""
    return Block("runoff", "Rain and runoff", list(_runoff(subject)), half=True)


def open_ground(subject: AnnexSubject) -> float:
    """Return the floors that rain falls on [sq ft]."""
    floors = subject.system.run.system.floors
    return sum(
        told["size"]
        for item, told in subject.built
        if item.key in floors and item.structure.catches_rain and not floors[item.key].roofed
    )


def roofs(subject: AnnexSubject) -> float:
    """Return the roofs over floors [sq ft]."""
    return sum(
        told["size"]
        for item, told in subject.built
        if item.structure.kind == "roof" or item.structure.always_roofed
    )


def _runoff(subject: AnnexSubject) -> Iterator[Item]:
    area, rain = open_ground(subject), subject.costing.winters.rain
    yield subject.worked("open_ground", "Open hard ground", area, "sq ft")
    yield subject.worked("roofs", "Roofs", roofs(subject), "sq ft")
    if rain is None:
        yield unknown("winter_rain", "Rain and melt, mean winter")
        yield unknown("rain_on_open_ground", "Rain on open hard ground")
    else:
        inches = subject.mean(rain)
        winter = subject.scenario.winter
        if winter.rain_in is not None and all(row.rain_in is None for row in winter.rows):
            yield subject.given(
                "winter.rain_in", "winter_rain", "Rain and melt, mean winter", winter.rain_in, "in"
            )
        else:
            yield subject.worked("winter_rain", "Rain and melt, mean winter", inches, "in")
        yield subject.worked(
            "rain_on_open_ground",
            "Rain on open hard ground",
            inches / INCHES_PER_FOOT * area,
            "cu ft/winter",
            note="All of it: an upper bound of the winter's runoff. No storm was worked.",
        )
    yield unknown("design_storm", "Design storm")
    yield unknown(
        "roof_water",
        "Roof water kept out",
        note="The costing lets none of it onto floors: that it is led away clean must be built.",
    )
    strips = [
        (item, told) for item, told in subject.built if item.structure.kind == "treatment_strip"
    ]
    for item, told in strips:
        about = subject.title_of(item)
        yield subject.worked("strip", "Treatment strip", told["size"], "sq ft", about)
    if strips:
        yield subject.reference(STRIP, "strip_ratio", "Strip for each sq ft of open pad")
    else:
        yield stated("strip", "Treatment strip", "none in this system")


def surface_block(subject: AnnexSubject) -> Block:
    """Return what the surface was assumed to be, and what of it nobody said."""
    return Block("surface", "Surface", list(_surface(subject)), half=True)


def _surface(subject: AnnexSubject) -> Iterator[Item]:
    layers = planning()["layers"]
    for item, _ in subject.new:
        kind, about = item.structure.kind, subject.title_of(item)
        if kind not in layers:
            continue
        if item.structure.price is not None:
            yield unknown("layers", "Layers", about, "A price was given: ask what it is for.")
        else:
            entry = layers[kind]
            origin: Origin = "reference"
            yield Item(
                line="layers",
                title="Layers assumed",
                value=entry["words"],
                origin=origin,
                about=about,
                where=entry["note"],
                mark=mark_of(entry),
            )
    if load := planned("wheel_load"):
        yield Item(
            line="wheel_load",
            title="Wheel load, at least",
            value=load.usual,
            unit=load.unit,
            origin="reference",
            usual=load.usual,
            source=load.source,
            where=load.where,
            mark=load.mark,
        )
    yield unknown("slope_range", "Slope of the surface", note="None was assumed.")
    for floor in subject.system.floors:
        if subject.mean(floor.days) > 0:
            title = next(
                subject.title_of(item) for item, _ in subject.built if item.key == floor.floor.key
            )
            times = subject.mean(floor.scrapings)
            yield subject.worked("cleanings", "Cleanings a winter", times, "time", title)
            yield subject.reference(
                f"manure.days_between_scrapings.{floor.kind}",
                "days_between",
                "Days between cleanings",
                spoken(floor.kind),
            )
    yield unknown("equipment_width", "Width of equipment")
    yield unknown("turning_radius", "Turning radius asked for")
