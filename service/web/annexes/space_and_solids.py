"""For the engineer: room for the animals, their water, and the solids to be collected."""

from collections.abc import Iterator

from service.costing.floors import FloorRun
from service.costing.formulas.manure import volume_of_floor
from service.costing.units import MINUTES_PER_HOUR
from service.costing.wording import listed, spoken
from service.season.planning import planned, planning
from service.web.annexes.annex import Block, Item, unknown
from service.web.annexes.planning import taken
from service.web.annexes.subject import AnnexSubject, Document

PIECES = ("waterer", "feeder")
WHOLE_HERD = "For the whole herd."


def rules_block(subject: AnnexSubject) -> Block:
    """Return the room and the pieces that one animal of each group is counted with."""
    items = [*_rules(subject)]
    remark = "" if items else "Nothing was sized by rule."
    return Block("rules", "Sizes by rule, for one animal", items, shape="grid", remark=remark)


def _rules(subject: AnnexSubject) -> Iterator[Item]:
    for item, _ in subject.built:
        if item.structure.is_floor:
            for group in _groups_on(subject, item.key):
                yield from _rule(
                    subject, "room", subject.title_of(item), item.structure.kind, group
                )
    kinds = {item.structure.kind for item, _ in subject.built}
    for kind in PIECES:
        for group in subject.costing.herd.groups if kind in kinds else ():
            yield from _rule(subject, kind, f"{kind.capitalize()}s", kind, group)


def _rule(subject: AnnexSubject, line: str, title: str, kind: str, group: str) -> Iterator[Item]:
    key = f"space.{kind}.{subject.scenario.herd[group].animal}"
    if subject.used(key):
        yield subject.reference(key, line, title, subject.group_title(group))


def space_block(subject: AnnexSubject) -> Block:
    """Return the area of each floor, and the feeders."""
    items = [*_floors(subject), *_pieces(subject, "feeder")]
    remark = "" if items else "This system has no floor and buys no feeder."
    feed_space = unknown("feed_space", "Feed space in feet", note="A ring or rack is a piece.")
    return Block("space", "Space", [*items, feed_space], remark=remark, half=True)


def _floors(subject: AnnexSubject) -> Iterator[Item]:
    run = subject.system.run
    for item, told in subject.built:
        if not item.structure.is_floor:
            continue
        about = subject.title_of(item)
        if told["size_by_rule"] is not None:
            yield subject.worked(
                "area_by_rule", "Area by rule", told["size_by_rule"], "sq ft", about
            )
        yield _size(subject, f"systems.{run.key}.structures.{item.key}.area_sqft", told, about)
        heads = sum(_head(subject, group) for group in _groups_on(subject, item.key))
        if heads:
            yield subject.worked(
                "room",
                "Room a head in the plan",
                told["size"] / heads,
                "sq ft/head",
                about,
                "All groups that use it, as if they stood on it at once.",
            )


def _size(subject: AnnexSubject, path: str, told: Document, about: str) -> Item:
    if path in subject.body["origins"]:
        return subject.given(path, "area", "Area in the plan", told["size"], "sq ft", about=about)
    return subject.worked("area", "Area in the plan", told["size"], "sq ft", about)


def _groups_on(subject: AnnexSubject, floor: str) -> list[str]:
    """Return the groups that stand on a floor on any step."""
    found: dict[str, None] = {}
    for step in subject.system.run.steps:
        if any(place.structure == floor for place in step.places):
            found |= dict.fromkeys(step.groups)
    return list(found)


def _head(subject: AnnexSubject, group: str) -> float:
    place = subject.costing.herd.groups.index(group)
    return float(subject.system.run.head.value[place, 0, 0, 0])


def _pieces(subject: AnnexSubject, kind: str) -> Iterator[Item]:
    """Yield how many waterers or feeders there are, and how many the rule wants."""
    found = [(item, told) for item, told in subject.built if item.structure.kind == kind]
    for item, told in found:
        about = subject.title_of(item)
        path = f"systems.{subject.key}.structures.{item.key}.count"
        title = f"{kind.capitalize()}s"
        if path in subject.body["origins"]:
            yield subject.given(path, kind, title, told["size"], "piece", about=about)
        else:
            yield subject.worked(kind, title, told["size"], "piece", about)
    rules = [told["size_by_rule"] for _, told in found if told["size_by_rule"] is not None]
    if rules:
        yield subject.worked(
            f"{kind}_by_rule", f"{kind.capitalize()}s by rule", rules[0], "piece", note=WHOLE_HERD
        )


def drinking_block(subject: AnnexSubject) -> Block:
    """Return the waterers, and what their supply must give."""
    items = [*_pieces(subject, "waterer"), *_peak(subject), *_daily(subject)]
    return Block("drinking", "Drinking water", items, half=True)


def _peak(subject: AnnexSubject) -> Iterator[Item]:
    hourly = planned("drinking_per_hour")
    if hourly is None:
        return
    classes = planning()["drinking_per_hour"]["classes"]
    heads = _heads_of(subject, classes)
    if not heads:
        yield unknown("peak_hour", "Peak hour", note="No figure for these animals.")
        return
    yield taken(hourly, "peak_hour", "Peak hour, cattle", heads, "gallon/hour")
    yield taken(
        hourly, "supply", "Asked of the supply, cattle", heads / MINUTES_PER_HOUR, "gallon/minute"
    )


def _daily(subject: AnnexSubject) -> Iterator[Item]:
    without: list[str] = []
    for place, group in enumerate(subject.costing.herd.groups):
        found = planned("drinking_per_day", subject.costing.herd.animals[place])
        if found is None:
            without.append(subject.group_title(group))
            continue
        yield taken(
            found,
            "peak_day",
            "Peak day",
            _head(subject, group),
            "gallon/day",
            about=subject.group_title(group),
        )
    if without:
        yield unknown("peak_day", "Peak day", listed(without), "No figure was found for them.")


def _heads_of(subject: AnnexSubject, animals: list[str]) -> float:
    return sum(
        _head(subject, group)
        for group, animal in zip(
            subject.costing.herd.groups, subject.costing.herd.animals, strict=True
        )
        if animal in animals
    )


def solids_block(subject: AnnexSubject) -> Block:
    """Return what falls on each floor in use, in a day and in the mean winter."""
    items = [item for floor in subject.system.floors for item in _falling(subject, floor)]
    remark = "" if items else "Nothing is collected: no floor is used."
    return Block("solids", "Collected solids", items, shape="grid", remark=remark, half=True)


def _falling(subject: AnnexSubject, floor: FloorRun) -> Iterator[Item]:
    days = subject.mean(floor.days)
    if days <= 0:
        return
    title = next(subject.title_of(item) for item, _ in subject.built if item.key == floor.floor.key)
    share = subject.mean(floor.collected_fraction)
    density = subject.known("manure.lb_per_cu_ft")
    loose, part = (
        subject.known("bedding.lb_per_cu_ft"),
        subject.known("manure.bedding_volume_fraction"),
    )
    for word, figure in (
        ("manure", floor.manure),
        ("bedding", floor.bedding),
        ("wasted hay", floor.waste),
    ):
        about, pounds = f"{title}: {word}", subject.mean(figure)
        if pounds == 0:
            continue
        volume = None
        if word == "manure" and density:
            volume = pounds / density
        elif word != "manure" and loose and part is not None:
            volume = part * pounds / loose
        yield subject.worked("per_day", "a day", pounds / days, "lb/day", about)
        yield _volume(subject, "volume_per_day", "volume", volume, days, about)
        yield subject.worked("winter", "mean winter", pounds, "lb", about)
        collected = None if volume is None else share * volume
        yield _volume(subject, "collected", "collected", collected, 1, about)
    about, rain = f"{title}: rain kept", subject.mean(floor.rain)
    if rain:
        yield subject.worked("collected", "collected", rain, "cu ft", about)
    if density and loose and part is not None:
        yield subject.worked(
            "collected",
            "collected",
            float(
                volume_of_floor(
                    manure=subject.mean(floor.manure),
                    bedding=subject.mean(floor.bedding),
                    waste=subject.mean(floor.waste),
                    collected_fraction=share,
                    rain=rain,
                    manure_density=density,
                    bedding_density=loose,
                    volume_fraction=part,
                )
            ),
            "cu ft",
            f"{title}: in all, {days:.0f} days",
        )


def _volume(
    subject: AnnexSubject, line: str, title: str, volume: float | None, days: float, about: str
) -> Item:
    if volume is None:
        return unknown(line, title, about)
    return subject.worked(line, title, volume / days, "cu ft" if days == 1 else "cu ft/day", about)


def storage_block(subject: AnnexSubject) -> Block:
    """Return the rules by which solids are counted and stored."""
    return Block("storage", "Solids: rules and storage", list(_storage(subject)), half=True)


def _storage(subject: AnnexSubject) -> Iterator[Item]:
    floors = [floor for floor in subject.system.floors if subject.mean(floor.days) > 0]
    quantities = subject.shown["quantities"]
    if floors:
        for kind in dict.fromkeys(floor.kind for floor in floors):
            yield subject.reference(
                f"manure.collected_fraction.{kind}", "collected_fraction", "Collected", spoken(kind)
            )
        yield subject.reference("manure.lb_per_cu_ft", "manure_density", "Manure weighs")
        yield subject.reference("bedding.lb_per_cu_ft", "bedding_density", "Loose bedding weighs")
        yield subject.reference(
            "manure.bedding_volume_fraction", "void_rule", "Bedding's volume that counts"
        )
        yield subject.worked(
            "to_handle", "To haul, mean winter", quantities["manure_to_handle_ton"], "ton"
        )
        yield subject.reference("manure.spreader_load_ton", "load", "One load")
        yield subject.worked("loads", "Loads, mean winter", quantities["manure_loads"], "load")
    for item, told in subject.built:
        if item.structure.kind == "manure_storage":
            path, about = f"systems.{subject.key}.structures.{item.key}", subject.title_of(item)
            yield subject.given(
                f"{path}.storage_days",
                "storage_days",
                "Days it must hold",
                item.structure.setting("storage_days"),
                "day",
                about=about,
            )
            yield subject.worked(
                "volume",
                "Volume",
                told["size"],
                "cu ft",
                about,
                "Without freeboard, and without rain on the store itself.",
            )
    yield unknown("moisture", "Moisture of the solids")
    yield unknown("stack_height", "Stack height", note="None was assumed.")
    yield unknown(
        "floor_area", "Floor of the store", note="The volume divided by the height you settle on."
    )
