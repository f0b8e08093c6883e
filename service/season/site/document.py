"""A screening as JSON and as rows of tables."""

from dataclasses import asdict
from typing import Any

from service.season.site.records import SiteScreening

FIELD_COLUMNS = (
    "field",
    "title",
    "uses",
    "acres",
    "slope_percent",
    "drainage",
    "distance_to_water_ft",
    "near_water",
    "nitrogen_lb",
    "phosphorus_lb",
    "p2o5_lb",
    "remarks",
)
CHECK_COLUMNS = (
    "field",
    "title",
    "use",
    "setback",
    "asked_ft",
    "distance_ft",
    "verdict",
    "words",
    "source",
    "where",
    "date",
    "mark",
)
SITE_TABLES = {"checks": CHECK_COLUMNS, "fields": FIELD_COLUMNS}
BETWEEN_TEXTS = "; "


def site_document(screening: SiteScreening) -> dict[str, Any]:
    """Return a screening as plain values, unrounded."""
    return asdict(screening)


def field_rows(screening: SiteScreening) -> list[dict[str, Any]]:
    """Return one row a field."""
    return [
        {
            **asdict(field),
            "uses": BETWEEN_TEXTS.join(field.uses),
            "remarks": " ".join(field.remarks),
        }
        for field in screening.fields
    ]


def check_rows(screening: SiteScreening) -> list[dict[str, Any]]:
    """Return one row a check, with the source of its setback."""
    sources = {
        row.key: {"source": row.source, "where": row.where, "date": row.date, "mark": row.mark}
        for row in screening.setbacks
    }
    return [{**asdict(check), **sources.get(check.setback, {})} for check in screening.checks]


def site_rows(screening: SiteScreening, table: str) -> list[dict[str, Any]]:
    """Return the rows of a table, ``checks`` or ``fields``."""
    return check_rows(screening) if table == "checks" else field_rows(screening)
