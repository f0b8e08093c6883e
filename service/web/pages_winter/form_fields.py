"""What the form asks of one winter: the same things of every farm, and the farm's own names."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.costing.input_paths import item_names
from service.costing.wording import sentence, spoken
from service.scenarios.changes import currency_of
from service.season.dates import Season, coming_season, season_called, season_from
from service.season.facts import ISO_DAY
from service.web.pages.wording import said_day, title_of

Document = Mapping[str, Any]

NUMBER, DAY, WORDS, CHOICE = "number", "day", "words", "choice"
"""How a field is filled: a number, a day of the calendar, free text, one of a few."""

SYSTEM = "system"
STEP_DAYS = "days"
"""Begins the names of fields for the days on a step: ``days.<system>.<step>``."""

ANSWERS = (("yes", "Yes"), ("no", "No"), ("with_changes", "Yes, with changes"))
MOST_SEASONS = 3
PLAN = "plan"
UNNAMED = "Your farm"


@dataclass(frozen=True, slots=True)
class FormField:
    """One thing to fill in; its name is the path of the fact."""

    name: str
    label: str
    unit: str = ""
    hint: str = ""
    kind: str = NUMBER
    choices: Sequence[tuple[str, str]] = ()

    @property
    def id(self) -> str:
        """What it is called in the page."""
        return f"f-{self.name.replace('.', '-')}"

    def chosen(self, word: str) -> str:
        """Return what a choice is called; a text that is none stays as it is."""
        return dict(self.choices).get(word, word)

    def is_day(self, text: str) -> bool:
        """Whether a browser can show a text in a field for days; it would drop any other."""
        return re.fullmatch(ISO_DAY, text) is not None


@dataclass(frozen=True, slots=True)
class Section:
    """Fields that stand together; faults of them all are told under its key."""

    key: str
    legend: str
    why: str
    fields: tuple[FormField, ...]

    @property
    def id(self) -> str:
        """What it is called in the page."""
        return f"q-{self.key}"


@dataclass(frozen=True, slots=True)
class Way:
    """A system that may have been used, and the days on each of its steps."""

    key: str
    title: str
    is_today: bool
    steps: tuple[FormField, ...]
    methods: Mapping[str, str]
    """Method of each step by its key."""

    @property
    def id(self) -> str:
        """What it is called in the page."""
        return f"f-{SYSTEM}-{self.key}"


@dataclass(frozen=True, slots=True)
class WinterForm:
    """What is asked of one winter of a farm."""

    farm: str
    season: Season
    revision: int
    """Of the scenario that was the plan."""
    ways: tuple[Way, ...]
    sections: tuple[Section, ...]

    @property
    def fields(self) -> dict[str, FormField]:
        """All fields by name, but for the choice of the system."""
        steps = [step for way in self.ways for step in way.steps]
        others = [field for section in self.sections for field in section.fields]
        return {field.name: field for field in (*steps, *others)}

    def way(self, key: str) -> Way | None:
        """Return a system by its key."""
        return next((way for way in self.ways if way.key == key), None)


def winter_form(document: Document, revision: int, season: str) -> WinterForm:
    """Return what is asked of a winter.

    Parameters
    ----------
    document : mapping
        The scenario that was the plan.
    revision : int
        Its number.
    season : str
        Name of the winter.

    Raises
    ------
    InputError
        If the scenario has no winter of that name.
    """
    winter = document["winter"]
    found = season_called(season, winter["first_day"], winter["last_day"])
    return WinterForm(
        farm=document.get("name") or UNNAMED,
        season=found,
        revision=revision,
        ways=tuple(_way(document, key) for key in document["systems"]),
        sections=tuple(_sections(document, found)),
    )


def last_seasons(document: Document, today: date) -> list[str]:
    """Return the names of the winter that runs or ended last, and of those before it."""
    first, last = document["winter"]["first_day"], document["winter"]["last_day"]
    coming = coming_season(first, last, today)
    year = coming.first_day.year - (coming.first_day > today)
    return [season_from(first, last, year - back).name for back in range(MOST_SEASONS)]


def _way(document: Document, key: str) -> Way:
    system = document["systems"][key]
    plan = dict(zip(item_names(PLAN, system[PLAN]), system[PLAN], strict=True))
    labels = {name: _step_label(document, system, step) for name, step in plan.items()}
    steps = [
        FormField(
            f"{STEP_DAYS}.{key}.{name}",
            label if _is_single(labels, label) else f"{label} ({spoken(name)})",
            "days",
        )
        for name, label in labels.items()
    ]
    return Way(
        key,
        title_of(document["systems"], key),
        is_today=key == document.get("baseline"),
        steps=tuple(steps),
        methods={name: step["method"] for name, step in plan.items()},
    )


def _is_single(labels: Mapping[str, str], label: str) -> bool:
    return list(labels.values()).count(label) == 1


def _step_label(document: Document, system: Document, step: Document) -> str:
    """Say a step by its method, and where it is."""
    where = ""
    if step.get("structure"):
        where = title_of(system.get("structures", {}), step["structure"])
    elif step.get("field"):
        where = title_of(document["land"].get("fields", {}), step["field"])
    method = sentence(spoken(step["method"]))
    return f"{method}, {where}" if where else method


def _sections(document: Document, season: Season) -> Iterator[Section]:
    currency = currency_of(dict(document))
    first, last = said_day(season.first_day), said_day(season.last_day)
    yield Section(
        "ground_days",
        "The days and the ground",
        f"The plan has {season.days} days, from {first} to {last}. If grass came on another day, "
        "say when. Days by ground add up to the days of the winter.",
        (
            FormField("turnout_date", "Grass took over on", kind=DAY),
            FormField("ground_days.frozen", "Frozen hard", "days"),
            FormField("ground_days.snow_covered", "Under snow", "days"),
            FormField("ground_days.firm", "Thawed, bears hoof and wheel", "days"),
            FormField("ground_days.wet", "Soft: wheels leave ruts", "days"),
        ),
    )
    yield Section(
        "hay",
        "Hay",
        "A guess will do. Price: of a ton or of a bale.",
        (
            FormField("bales_on_hand", "In store before winter", "bales"),
            FormField("bales_bought", "Bought for it", "bales"),
            FormField("bales_fed", "Fed, waste and all", "bales"),
            FormField("bale_weight_lb", "Weight of a bale", "lb"),
            FormField("prices.hay_per_ton", "Price of a ton", currency),
            FormField("prices.hay_per_bale", "Price of a bale", currency),
        ),
    )
    yield Section(
        "work",
        "Work, fuel, bedding",
        "All hours of the winter, or the minutes of an ordinary day.",
        (
            FormField("labor_hours", "Work over the winter", "hours"),
            FormField("minutes_per_day", "On an ordinary day", "minutes"),
            FormField("fuel_gallon", "Diesel", "gallons"),
            FormField("bedding_ton", "Bedding", "tons"),
        ),
    )
    yield Section(
        "acres_by_severity",
        "Ground to fix in spring",
        "Say it by kind, or all together if you do not know the kinds.",
        (
            FormField("acres_by_severity.light", "Light", "acres", "Prints under 2 in, sod holds."),
            FormField(
                "acres_by_severity.moderate",
                "Moderate",
                "acres",
                "Prints of 2 to 4 in, less than half bare.",
            ),
            FormField(
                "acres_by_severity.severe",
                "Severe",
                "acres",
                "Deeper prints, or more than half bare.",
            ),
            FormField("acres_to_fix", "All together", "acres"),
        ),
    )
    herd = document["herd"]
    yield Section(
        "animals_lost",
        "Animals lost",
        "How many died in the winter.",
        tuple(FormField(f"animals_lost.{key}", title_of(herd, key), "head") for key in herd),
    )
    yield Section(
        "words",
        "In your own words",
        "",
        (
            FormField("worst_weeks", "The worst weeks", kind=WORDS, hint="When, and what went on."),
            FormField("would_do_again", "Would you do it again?", kind=CHOICE, choices=ANSWERS),
            FormField("remark", "Anything else", kind=WORDS),
        ),
    )
