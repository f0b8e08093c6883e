"""After the decision: plan, card, calendar, review, own figures and screening of the demo farm."""

from service.demo import demo_document
from service.web.app import create_app
from tests.benchmarks.measure import Measure, least
from tests.web.keeping import Keeping

ROUNDS = 6
SYSTEM = "by_the_ground"
FACTS = {
    "system": SYSTEM,
    "ground_days": {"frozen": 8, "snow_covered": 5, "firm": 42, "wet": 76},
    "days_by_method": {"bales": 30},
    "bales_fed": 430,
    "labor_hours": 250,
    "acres_to_fix": 3.5,
    "prices": {"hay_per_ton": 120},
}
SEASONS = [f"{year}-{year - 1999}" for year in range(2014, 2026)]


def season_measures() -> list[Measure]:
    """Return what each answer takes over HTTP; the costing is stored before."""
    kept = Keeping(create_app())
    scenario = kept.stored(demo_document())
    address = f"/v1/scenarios/{scenario}"
    for season in SEASONS:
        kept("PUT", f"{address}/winters/{season}", json=FACTS)
    newest = f"{address}/winters/{SEASONS[-1]}"

    def took(path: str, rounds: int = ROUNDS) -> float:
        return least(lambda: kept.get(path), rounds)

    calendar = kept.get(f"{address}/plan.ics?system={SYSTEM}")
    return [
        Measure("plan: dates, materials, hay", took(f"{address}/plan?system={SYSTEM}"), "ms"),
        Measure("plan as a calendar file", took(f"{address}/plan.ics?system={SYSTEM}"), "ms"),
        Measure("calendar file, size", len(calendar.content) / 1000, "kB"),
        Measure("plan as a page", took(f"{address}/plan.html?system={SYSTEM}"), "ms"),
        Measure("morning card", took(f"{address}/card.html?system={SYSTEM}"), "ms"),
        Measure("review of a winter, eight costings", took(f"{newest}/review"), "ms"),
        Measure("own figures of twelve winters", took(f"{address}/own-figures", 2), "ms"),
        Measure("site screening", took(f"{address}/site?system={SYSTEM}"), "ms"),
    ]
