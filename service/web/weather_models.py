"""Daily weather over HTTP: what is asked and what is answered, one declaration each."""

from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from service.costing.entry import MONTH_DAY
from service.scenarios.weather_records import LONGEST_LABEL
from service.weather.parameters import parameters
from service.weather.reading import FORMATS, FURTHEST_NORTH
from service.web.answer_models import Kept, Next
from service.web.request_models import ONE_LINE, Asked


def _range(setting: str) -> dict[str, Any]:
    limits = parameters().limits[setting]
    return {"minimum": limits.least, "maximum": limits.most, "x-unit": limits.unit}


# What is out of range is told by whoever reads the settings and the file, in better sentences;
# limits, words and patterns stand here for the description alone.

DayOfYear = Annotated[str | None, Field(json_schema_extra={"pattern": MONTH_DAY})]


class WeatherWindow(Asked):
    """The days of the year that a winter is counted on, both ends counted."""

    first_day: DayOfYear = Field(None, description="First day, MM-DD.")
    last_day: DayOfYear = Field(None, description="Last day, MM-DD; may lie in the next year.")


class WeatherThresholds(Asked):
    """From where the ground counts as frozen, and as wet."""

    frozen_index: float | None = Field(
        None,
        description="Frozen-ground index from which the ground bears.",
        json_schema_extra=_range("frozen_index"),
    )
    mud_deficit_mm: float | None = Field(
        None,
        description="Soil moisture deficit under which the ground is wet.",
        json_schema_extra=_range("mud_deficit_mm"),
    )


class WeatherClassification(Asked):
    """By what the winters of a record are to be counted; what is not given stays as it is."""

    drainage: str | None = Field(
        None,
        description="How the soil drains.",
        json_schema_extra={"enum": list(parameters().drainage)},
    )
    window: WeatherWindow | None = None
    thresholds: WeatherThresholds | None = None


class NewWeatherRecord(WeatherClassification):
    """Daily weather of one station; settings that are not given are the usual ones."""

    label: str = Field(
        description="What to call it: one line.",
        json_schema_extra={"minLength": 1, "maxLength": LONGEST_LABEL, "pattern": ONE_LINE},
    )
    format: str = Field(
        description="How the file is laid out; /v1/weather-settings lists columns and units.",
        json_schema_extra={"enum": list(FORMATS)},
    )
    csv: str = Field(title="CSV", description="The file, as text.")
    latitude: float | None = Field(
        None,
        description="Of the station, north more than 0; needed where the file does not tell it.",
        json_schema_extra={
            "minimum": -FURTHEST_NORTH,
            "maximum": FURTHEST_NORTH,
            "x-unit": "degree",
        },
    )


Mark = Literal["seen", "from memory", "own choice"]
"""Where a number comes from: read in its source, recalled and unverified, or chosen here."""


class DaysByState(Kept):
    """Days in each ground state."""

    frozen: float = Field(json_schema_extra={"x-unit": "day"})
    snow_covered: float = Field(json_schema_extra={"x-unit": "day"})
    firm: float = Field(json_schema_extra={"x-unit": "day"})
    wet: float = Field(json_schema_extra={"x-unit": "day"})


class WeatherRecordItem(Kept):
    """A weather record in a list."""

    id: str
    label: str
    format: str = Field(description="How it was sent.")
    latitude: float = Field(json_schema_extra={"x-unit": "degree"})
    first_day: date
    last_day: date
    missing_days: int = Field(
        description="Days between the two without both temperatures.",
        json_schema_extra={"x-unit": "day"},
    )
    created_at: datetime
    classifier: str = Field(description="The newest classification.")


class WeatherRecordList(Kept):
    """A page of weather records, the newest first."""

    items: list[WeatherRecordItem]
    next: Next


class CountedWindow(Kept):
    """The days of the year that winters were counted on."""

    first_day: str
    last_day: str


class CountedThresholds(Kept):
    """From where the ground counted as frozen, and as wet."""

    frozen_index: float = Field(json_schema_extra={"x-unit": "°C day"})
    mud_deficit_mm: float = Field(json_schema_extra={"x-unit": "mm"})


class CountedBy(Kept):
    """By what winters were counted."""

    drainage: str
    window: CountedWindow
    thresholds: CountedThresholds


class ClassificationItem(Kept):
    """How the winters of a record were counted once."""

    classifier: str
    settings: CountedBy
    created_at: datetime


class WinterFacts(Kept):
    """What else is known of one winter."""

    missing_days: int = Field(
        description="Days filled in from those around them.", json_schema_extra={"x-unit": "day"}
    )
    observed_snow_days: int = Field(
        description="Days with an observed depth of snow, 0 too.",
        json_schema_extra={"x-unit": "day"},
    )
    frozen_days: int = Field(
        description="Days with frozen ground, under snow or not.",
        json_schema_extra={"x-unit": "day"},
    )
    deep_frozen_days: int = Field(
        description="Those on which the frozen-ground index reached its threshold.",
        json_schema_extra={"x-unit": "day"},
    )
    autumn_rain_in: float | None = Field(
        description="Precipitation of the 92 days before; null where it is not known whole.",
        json_schema_extra={"x-unit": "in"},
    )


class DroppedSeason(Kept):
    """A winter that is not counted."""

    season: str
    reason: str


class WeatherNotice(Kept):
    """Something to know before the winters are used."""

    warning: str
    sentence: str


class PresetDays(Kept):
    """Mean days of a winter at one preset of a threshold, all else as set."""

    setting: str
    value: float
    mean_ground_days: DaysByState


class KeptWeatherRecord(WeatherRecordItem):
    """A weather record with its winters."""

    classifier: str = Field(description="The classification that is shown.")
    newest_classifier: str = Field(description="What a scenario takes that names none.")
    settings: CountedBy
    classifications: list[ClassificationItem] = Field(description="All of them, the oldest first.")
    rows: list[dict[str, Any]] = Field(
        description="The winters, as `winter.rows` of a scenario has them."
    )
    winters: dict[str, WinterFacts] = Field(description="By season.")
    dropped: list[DroppedSeason]
    warnings: list[WeatherNotice]
    side_by_side: list[PresetDays]


class SettingPreset(Kept):
    """A value of a threshold that has a meaning of its own."""

    value: float
    name: str
    meaning: str
    mark: Mark
    source: str | None
    note: str | None


class ThresholdItem(Kept):
    """A threshold with its presets."""

    input: str
    usual: float
    unit: str
    meaning: str
    least: float
    most: float
    presets: list[SettingPreset]


class DrainageItem(Kept):
    """A class of soil by how it drains."""

    name: str
    usual: bool
    meaning: str
    soil_survey_classes: list[str]
    wettest_mm: float = Field(
        description="Deficit when saturated; 0 at field capacity, negative above.",
        json_schema_extra={"x-unit": "mm"},
    )
    drains_mm_per_day: float | None = Field(
        description="Water lost downwards above field capacity; null: all within the day.",
        json_schema_extra={"x-unit": "mm/day"},
    )
    mark: Mark
    source: str | None
    note: str | None


class MethodNumber(Kept):
    """A number of the method."""

    name: str
    value: float
    unit: str
    meaning: str
    mark: Mark
    source: str | None
    note: str | None


class WindowItem(Kept):
    """The usual window, and how long one may be."""

    first_day: str
    last_day: str
    least: float
    most: float
    unit: str


class FormatColumn(Kept):
    """A column of a file."""

    column: str
    holds: str = Field(description="What the plain columns call it.")
    unit: str
    required: bool


class FormatItem(Kept):
    """A layout of files that is accepted."""

    name: str
    line_holds: Literal["one day", "one value"]
    columns: list[FormatColumn]


class WeatherSettingsCatalog(Kept):
    """By what winters are counted."""

    window: WindowItem
    drainage: list[DrainageItem]
    settings: list[ThresholdItem]
    parameters: list[MethodNumber]
    formats: list[FormatItem]


WEATHER_REQUESTS: tuple[type[Asked], ...] = (NewWeatherRecord, WeatherClassification)
WEATHER_ANSWERS: tuple[type[Kept], ...] = (
    KeptWeatherRecord,
    WeatherRecordList,
    WeatherSettingsCatalog,
)
