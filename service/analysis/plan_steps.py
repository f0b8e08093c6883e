"""What a step of a plan can be: where it stands, on which ground, with what, and how far it goes.

Everything is taken from the systems of the scenario; what may differ is chosen here.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.analysis.plan_gear import MOUND, ROOF, WITHOUT_FEEDER, Gear
from service.analysis.plan_sources import Document, Found, Source, Sources
from service.costing.methods import METHODS
from service.costing.places import fed_on
from service.costing.units import STATES

States = frozenset[str]

TIMES = (0.5, 1.0, 1.5)
"""Times the limit of a step as it is found: far enough apart to tell plans apart."""

LIMITS = ("bales_set_out", "acres", "max_days", "share_of_herd")
"""Numbers that say how far a step goes. Spacing and days per move say how it is done, and are
left as they are found."""

LAST_KEEPS = ("bales_set_out", "acres")
"""The last step serves all that is left: of its limits only what stands on the field remains."""

MOST_DAYS = 365.0

ALL: States = frozenset(STATES)
BEARS: States = frozenset({"frozen", "snow_covered", "firm"})
HARD: States = frozenset({"frozen", "snow_covered"})
OPEN: States = frozenset({"frozen", "firm"})
FIRM: States = frozenset({"firm"})
WET: States = frozenset({"wet"})
THAWED: States = frozenset({"firm", "wet"})

GROUND: Mapping[str, Sequence[States]] = {
    "stockpile_grazing": (ALL, BEARS, OPEN, FIRM),
    "bale_grazing": (ALL, BEARS, HARD),
    "unrolled_hay": (ALL, BEARS, HARD),
    "sacrifice_lot": (ALL, WET, THAWED),
    "feeding_pad": (ALL, WET, THAWED),
    "bedded_pack": (ALL, WET, THAWED),
}
"""Ground on which a step is used before others. Grass is fed on where the ground bears hoof and
wheel (all but wet), or only where it is hard; grass is grazed where snow does not lie on it, or is
kept from frozen ground too; lots and floors are there for wet ground, or for all that is not hard.
Common practice, no source. What a step has of its own is added."""

SUITS: Mapping[str, frozenset[str]] = {
    "bale_grazing": frozenset({"bales_in_place"}),
    "unrolled_hay": frozenset({"unrolled_daily", "unrolled_several_days"}),
    "sacrifice_lot": frozenset(
        {"bunk", "no_feeder", "ring_cone", "ring_open", "ring_solid_bottom"}
    ),
    "feeding_pad": frozenset({"bunk", "ring_cone", "ring_open", "ring_solid_bottom"}),
    "bedded_pack": frozenset({"bunk", "ring_cone", "ring_open", "ring_solid_bottom"}),
}
"""Ways of feeding that a method may take over from another step; a step may always feed as a
system of the scenario does. Common practice, no source."""


@dataclass(frozen=True)
class Offer:
    """How hay is put before the animals, and the feeders that go with it."""

    presentation: Any
    feeders: Document


@dataclass(frozen=True)
class Stand:
    """Where the animals of a step stand: members of the step, and its floors and roofs."""

    members: Document
    structures: Document


@dataclass(frozen=True)
class Template:
    """One way of feeding that plans are made of."""

    name: str
    found: Found
    members: Document
    """Of the step, but for what is chosen."""
    offers: Sequence[Offer]
    stands: Sequence[Stand]
    ground: Sequence[States]
    """Sets of ground states, where others come after it."""
    limits: Mapping[str, Sequence[float]]
    ends: bool
    """Whether it may be the last."""
    takes_all: bool
    """Whether nothing is left of the ground states that it takes."""
    gear: Document

    @property
    def method(self) -> str:
        """The feeding method."""
        return self.found.step.method

    def limits_at(self, *, last: bool) -> Mapping[str, Sequence[float]]:
        """Return the values of each limit, in the last place or before others."""
        if not last:
            return self.limits
        return {name: values for name, values in self.limits.items() if name in LAST_KEEPS}


CHOSEN = frozenset(
    {
        "key",
        "groups",
        "ground_states",
        "presentation",
        "structure",
        "hours_on_method",
        "resting_place",
        "resting_field",
        *LIMITS,
    }
)


@dataclass(frozen=True)
class Kitchen:
    """Makes templates of the steps of a scenario."""

    sources: Sources
    gear: Gear
    methods: frozenset[str]
    words: Sequence[str]
    """Ways of feeding that are allowed."""
    optional: frozenset[str]
    """Kinds of structure that may be there or not."""

    def templates(self) -> list[Template]:
        """Return one template for each way of feeding, as it is first found."""
        first: dict[Any, Found] = {}
        for found in self.sources.steps:
            if found.step.method in self.methods:
                first.setdefault(found.sort, found)
        made = [self._template(found) for found in first.values()]
        return [template for template in made if template is not None]

    def _template(self, found: Found) -> Template | None:
        offers = self._offers(found)
        limits = self._limits(found)
        if not offers or not all(limits.values()):
            return None
        whole = not limits and found.step.min_spell_days <= 1 and not self._has_room_for_some(found)
        return Template(
            name=found.step.key or found.step.method,
            found=found,
            members={key: value for key, value in found.document.items() if key not in CHOSEN},
            offers=offers,
            stands=self._stands(found),
            ground=self._ground(found, limited=bool(limits)),
            limits=limits,
            ends=self._may_end(found),
            takes_all=whole,
            gear=self.gear.with_step(found),
        )

    def _alike(self, found: Found) -> list[Found]:
        return [other for other in self.sources.steps if other.sort == found.sort]

    def _offers(self, found: Found) -> list[Offer]:
        if not METHODS[found.step.method].eats_hay:
            return [Offer(None, {})]
        own = found.step.presentation
        shown = {word for other in self._alike(found) for word in other.words}
        offers: list[Offer] = []
        if isinstance(own, dict) and set(own.values()) <= set(self.words):
            spread = {group: own[group] for group in self.sources.groups if group in own}
            if len(spread) == len(self.sources.groups):
                feeders = [self.gear.feeders(word) for word in dict.fromkeys(spread.values())]
                joined = {key: item for part in feeders for key, item in part.items()}
                offers.append(Offer(spread, joined))
        order = sorted(self.words, key=lambda word: word not in found.words)
        offers += [
            Offer(word, self.gear.feeders(word)) for word in order if self._fits(found, word, shown)
        ]
        return offers

    def _fits(self, found: Found, word: str, shown: set[str]) -> bool:
        """Whether a step may feed so, and what that costs is known."""
        if word in shown:
            return True
        costed = (
            word in WITHOUT_FEEDER or not self.gear.feeders_differ or bool(self.gear.feeders(word))
        )
        return costed and word in SUITS.get(found.step.method, ())

    def _ground(self, found: Found, *, limited: bool) -> list[States]:
        come = self.sources.states
        own = frozenset(found.step.ground_states or STATES)
        several = dict.fromkeys(
            states & come for states in (own, *GROUND.get(found.step.method, (ALL,)))
        )
        return [states for states in several if states and (limited or states != come)]

    def _limits(self, found: Found) -> dict[str, list[float]]:
        """Return the values of each limit that a step has; none where no value is possible."""
        limits: dict[str, list[float]] = {}
        for name in LIMITS:
            value = found.document.get(name)
            if value is None or (name == "share_of_herd" and value >= 1):
                continue
            most = self._most(found, name)
            steps = [_rounded(name, min(value * times, most)) for times in TIMES]
            limits[name] = [step for step in dict.fromkeys(steps) if step > 0]
        return limits

    def _most(self, found: Found, name: str) -> float:
        if name == "acres":
            kept = [
                other.step for other in self.sources.kept if other.step.field == found.step.field
            ]
            shut = sum(step.setting("acres") or 0.0 for step in kept)
            return self.sources.scenario.land.fields[found.step.field or ""].acres - shut
        return {"share_of_herd": 1.0, "max_days": MOST_DAYS}.get(name, float("inf"))

    @staticmethod
    def _has_room_for_some(found: Found) -> bool:
        """Whether a floor of a given size may be too small for all."""
        structures = found.source.system.structures
        return any(
            structures[key].given_size is not None or structures[key].existing_size is not None
            for key in (fed_on(found.step), found.rests_on)
            if key is not None
        )

    def _may_end(self, found: Found) -> bool:
        """Whether it can serve all that is left; feed that is set out must be known to reach."""
        if not any(name in found.document for name in LAST_KEEPS):
            return True
        return any(self.sources.steps_of(s)[-1].sort == found.sort for s in self._fed())

    def _fed(self) -> Iterator[Source]:
        return (source for source in self.sources.sources if self.sources.steps_of(source))

    def _stands(self, found: Found) -> list[Stand]:
        floor = fed_on(found.step)
        return [
            Stand(
                {**({"structure": floor} if floor else {}), **rest.members},
                {**self._own_floor(found, floor), **roof, **rest.structures},
            )
            for rest in self._rests(found)
            for roof in self._roofs(found, floor)
        ]

    @staticmethod
    def _own_floor(found: Found, floor: str | None) -> Document:
        return {floor: found.source.structures[floor]} if floor else {}

    def _rests(self, found: Found) -> list[Stand]:
        rests = [_rest(found)]
        if MOUND not in self.optional:
            return rests
        if _rests_on_mound(found):
            return [*rests, Stand({}, {})]
        others = [_rest(other) for other in self._alike(found) if _rests_on_mound(other)]
        return [*rests, *others[:1]]

    def _roofs(self, found: Found, floor: str | None) -> list[Document]:
        if floor is None:
            return [{}]
        roofs = [roof for other in self._alike(found) if (roof := _roof_of(other, floor))]
        own = _roof_of(found, floor)
        if ROOF not in self.optional:
            return [own]
        return [own, {}] if own else [{}, *roofs[:1]]


def _rounded(name: str, value: float) -> float:
    """Return bales as whole bales; a fourth of an animal or of an acre is left as it is."""
    return max(1.0, float(round(value))) if name == "bales_set_out" else value


def _rest(found: Found) -> Stand:
    names = ("hours_on_method", "resting_place", "resting_field")
    members = {name: found.document[name] for name in names if found.document.get(name) is not None}
    floor = found.rests_on
    if floor is None:
        return Stand(members, {})
    structures = {floor: found.source.structures[floor]}
    roof = found.source.roof_over(floor)
    if roof is not None:
        structures[roof] = found.source.structures[roof]
    return Stand(members, structures)


def _rests_on_mound(found: Found) -> bool:
    floor = found.rests_on
    return floor is not None and found.source.system.structures[floor].kind == MOUND


def _roof_of(found: Found, floor: str) -> Document:
    """Return the roof over the floor that a step feeds on, put over another floor like it."""
    fed = fed_on(found.step)
    key = found.source.roof_over(fed) if fed else None
    return {} if key is None else {key: {**found.source.structures[key], "over": floor}}
