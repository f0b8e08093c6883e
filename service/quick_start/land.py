"""The fields and what each is for, from the eighth and ninth question."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.wording import amount
from service.quick_start.answers import Answers, Field
from service.quick_start.catalog import YES
from service.quick_start.draft import Draft
from service.quick_start.herd import animal_units
from service.quick_start.marks import Given, Worked, guess

LAND, DAMAGE = "land", "damage"
DRAINAGE = {"well": "well", "middling": "moderate", "wet": "poor"}
TENURE = {"yours": "owned", "rented": "rented"}
WATER = {"yes": "yes", "no": "walked_back", "hauled": "hauled"}
NOT_WATERED = "walked_back"
LONGEST_KEY = 40
MOST_ACRES = 100_000
SLACK = 1e-9

DRIEST = ("well", "moderate", "poor")
QUIET = ("moderate", "well", "poor")
"""Where sheep stand if cattle have the lot: not on the best ground, and not in the wet."""


@dataclass(frozen=True, slots=True)
class Ground:
    """The fields of the document, and what each is for."""

    fields: Mapping[str, Mapping[str, Any]]
    lot: str
    """Where animals are fed today."""
    lot_is_told: bool

    def ordered(self, drainages: tuple[str, ...]) -> list[str]:
        """Return the fields by drainage, larger ones first, that of today last."""

        def place(key: str) -> tuple[bool, int, float]:
            field = self.fields[key]
            return key == self.lot, drainages.index(field["drainage"]), -field["acres"]

        return sorted(self.fields, key=place)

    @property
    def quiet(self) -> str:
        """Field for sheep beside cattle: they take little room."""

        def place(key: str) -> tuple[bool, int, float]:
            field = self.fields[key]
            return key == self.lot, QUIET.index(field["drainage"]), field["acres"]

        return min(self.fields, key=place)

    @property
    def dry(self) -> str | None:
        """The best field that drains well, if any."""
        found = self.ordered(DRIEST)
        wells = [key for key in found if self.fields[key]["drainage"] == DRIEST[0]]
        return wells[0] if wells else None

    @property
    def to_build_on(self) -> str:
        """Where a pad or a barn would stand: at the lot, but on ground that is owned."""
        owned = [key for key, field in self.fields.items() if field["tenure"] == "owned"]
        return self.lot if self.lot in owned or not owned else owned[0]

    def spared(self, acres: float) -> dict[str, float]:
        """Return how many acres of each field are shut, the driest first [acre]."""
        found: dict[str, float] = {}
        for key in self.ordered(DRIEST):
            part = min(acres - sum(found.values()), self.fields[key]["acres"])
            if part > SLACK:
                found[key] = part
        return found


def fill_land(draft: Draft, answers: Answers) -> Ground:
    """Put the fields into the document, and say which is for what."""
    fields = list(answers.fields) or [{}]
    au = animal_units(draft.document["herd"])
    keys = _keys(fields)
    for key, field in zip(keys, fields, strict=True):
        draft.put(f"land.fields.{key}", _field(field, key, au / len(fields)))
    draft.put("land.forage_value_per_ton_dm", guess("forage_value", LAND))
    filled = draft.document["land"]["fields"]
    lot, told = _lot(keys, fields, filled)
    ground = Ground(filled, lot, told)
    _say(draft, ground, several=len(fields) > 1)
    _fill_repaired(draft, answers)
    return ground


def _keys(fields: list[Field]) -> list[str]:
    keys: list[str] = []
    for number, field in enumerate(fields, start=1):
        words = re.sub(r"[^a-z0-9]+", "_", field.get("name", "").lower()).strip("_")
        key = words[:LONGEST_KEY] if re.match("[a-z]", words) else f"field_{number}"
        keys.append(f"field_{number}" if key in keys else key)
    return keys


def _field(field: Field, key: str, au: float) -> dict[str, Any]:
    acres, drains = field.get("acres"), field.get("drains")
    whose, water = field.get("whose"), field.get("water")
    rented = whose == "rented"
    return {
        "title": Given(field["name"]) if field.get("name") else key.replace("_", " ").capitalize(),
        "acres": guess("acres_per_au", LAND, scale=au, most=MOST_ACRES)
        if acres is None
        else Given(acres),
        "drainage": guess("drainage", LAND) if drains is None else Given(DRAINAGE[drains]),
        "forage_yield_ton_dm_per_acre": guess("forage_yield", LAND),
        "tenure": guess("tenure", LAND) if whose is None else Given(TENURE[whose]),
        "lease_years_left": guess("lease_years", LAND) if rented else None,
        "winter_water": guess("winter_water", LAND) if water is None else Given(WATER[water]),
    }


def _lot(
    keys: list[str], fields: list[Field], filled: Mapping[str, Mapping[str, Any]]
) -> tuple[str, bool]:
    """Return where animals are fed today, and whether that was told; else the wettest, smallest."""
    told = [key for key, field in zip(keys, fields, strict=True) if field.get("fed_here") == YES]
    if told:
        return told[0], True
    kept = [key for key, field in zip(keys, fields, strict=True) if "fed_here" not in field]

    def place(key: str) -> tuple[int, float]:
        return -DRIEST.index(filled[key]["drainage"]), filled[key]["acres"]

    return min(kept or keys, key=place), False


def _say(draft: Draft, ground: Ground, *, several: bool) -> None:
    if several and not ground.lot_is_told:
        title = ground.fields[ground.lot]["title"]
        draft.note(
            f"land.fields.{ground.lot}",
            f"Nobody said on which field you feed now; we took {title}.",
        )
    for field in ground.fields.values():
        if field["winter_water"] == NOT_WATERED:
            draft.need(
                f"No winter water on {field['title']}: the time to walk animals back to it is "
                "counted each day; a pipe is not."
            )


def _fill_repaired(draft: Draft, answers: Answers) -> None:
    acres = answers.number(DAMAGE, "acres_repaired")
    path = "land.acres_repaired_last_spring"
    if acres is not None:
        draft.put(path, Given(acres))


def fill_repaired_by_guess(draft: Draft, answers: Answers) -> None:
    """Put the acres repaired into the document, for cows on a lot of which nobody told them."""
    path = "land.acres_repaired_last_spring"
    cows = draft.document["herd"].get("cows")
    if answers.number(DAMAGE, "acres_repaired") is None and cows is not None:
        draft.put(path, guess("repaired_per_cow", DAMAGE, scale=cows["head"]))


def paced_area(answers: Answers, what: str) -> Worked | None:
    """Return the area of something paced off, None where nobody told it or there is none."""
    sides = [answers.number(DAMAGE, f"{what}_{side}") for side in ("length", "width")]
    pace = guess("pace", DAMAGE).value
    if sides[0] is None or sides[1] is None or not sides[0] * sides[1]:
        return None
    area = sides[0] * pace * sides[1] * pace
    return Worked(
        max(area, 1.0),
        f"{amount(sides[0])} by {amount(sides[1])} paces of {amount(pace)} ft: "
        f"{amount(area)} sq ft.",
    )
