"""Cautions as they are shown: each once, in short and in full, with its source."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.caution_table import MUST
from service.costing.reference.table import COMMON_PRACTICE, Source, load_edition, newest_edition
from service.costing.wording import sentence, spoken

Document = Mapping[str, Any]

SHORT = {
    "licensed_engineer": "a licensed engineer for any roof, wall or manure storage",
    "landlord_consent": "the landlord's written yes",
    "cost_share_contract": "no work before the cost-share contract is signed",
    "call_before_digging": "call before digging",
    "wetland_flood_plain_permits": "wetland, flood plain and permits: ask first",
    "setbacks_not_checked": "no setback was checked: ask state and county",
    "setbacks_to_confirm": "setbacks: have the agency confirm them",
    "confined_45_days": "fed 45 days or more on bare ground: ask the state agency about permits",
    "winter_spreading": "manure on frozen or snow-covered ground: state rules",
    "manure_gas": "manure gas: never enter a pit",
    "snow_and_wind_on_roofs": "snow and wind on roofs and covers",
    "stray_voltage": "stray voltage at heated waterers: an electrician",
    "stack_fire": "damp hay heats and burns",
    "toxic_fescue": "toxic fescue: watch feet in cold spells",
    "nitrate_and_prussic_acid": "nitrate and prussic acid: test before grazing",
    "grass_tetany": "grass tetany in spring: magnesium",
    "copper_and_sheep": "copper kills sheep: no cattle mineral in reach",
    "whole_bales_and_sheep": "undermined bales fall on sheep",
    "listeria_and_botulism": "wrapped or spoiled hay: listeria, botulism",
    "calving_and_lambing_ground": "calve and lamb on clean dry ground",
    "loader_and_bales": "loader: roll bar, belt, rear weight",
    "slope": "bales roll: load and unwrap across the slope",
    "lone_work": "nobody alone without a phone",
    "young_workers": "age limits of farm work",
    "ice": "thin ice drowns",
    "net_wrap_and_twine": "take off net wrap and twine",
    "electric_fence": "electric fence: heart devices, horned stock",
    "suffering_not_in_money": "many days in mud: ask your veterinarian",
    "public_record": "a shared page may be public record",
}
"""In the order in which they are read: what is built first, then land, animals and people."""


ABBREVIATIONS = {
    "USDA Natural Resources Conservation Service": "NRCS",
    "U.S. Environmental Protection Agency": "EPA",
    "U.S. Department of Labor": "Dept. of Labor",
    "National Fire Protection Association": "NFPA",
    "Preble Soil and Water Conservation District": "Preble SWCD",
    "United States Code": "U.S. Code",
}
"""Authors in short; in full they stand with the whole sentence."""


@dataclass(frozen=True, slots=True)
class ShownCaution:
    """Something to mind before building or doing."""

    short: str
    short_source: str
    sentence: str
    systems: list[str]
    """Those that it is about, where they are few."""
    all_but: list[str]
    """Those that it is not about, where they are fewer."""
    source: str
    is_must: bool


def cautions_shown(costing: Document, systems: Sequence[Document]) -> list[ShownCaution]:
    """Return each caution of the systems once, the musts first."""
    sources = {
        **load_edition(newest_edition()).sources,
        **load_edition(costing["reference_edition"]).sources,
    }
    first: dict[str, Document] = {}
    about: dict[str, list[str]] = {}
    for system in systems:
        for caution in system["cautions"]:
            first.setdefault(caution["sentence"], caution)
            about.setdefault(caution["sentence"], []).append(system["title"])
    titles = [system["title"] for system in systems]
    return [
        _shown(caution, about[text], titles, sources.get(caution["source"]))
        for text, caution in sorted(first.items(), key=lambda item: _place(item[1]))
    ]


def _place(caution: Document) -> tuple[bool, int]:
    order = list(SHORT)
    key = caution["caution"]
    return caution["rank"] != MUST, order.index(key) if key in SHORT else len(order)


def _shown(
    caution: Document, about: list[str], titles: Sequence[str], source: Source | None
) -> ShownCaution:
    others = [title for title in titles if title not in about]
    few = len(about) <= len(others)
    return ShownCaution(
        short=SHORT.get(caution["caution"], spoken(caution["caution"])),
        short_source=_in_short(source),
        sentence=sentence(caution["sentence"]),
        systems=about if few else [],
        all_but=[] if few else others,
        source=_cited(source, caution["where"]),
        is_must=caution["rank"] == MUST,
    )


def _in_short(source: Source | None) -> str:
    if source is None:
        return "see below"
    if source.key == COMMON_PRACTICE.key:
        return "common practice"
    words = source.author.partition(",")[0].removesuffix(" Extension")
    who = ABBREVIATIONS.get(words, words.replace("University", "U.").replace("State", "St."))
    return f"{who} {source.year}" if source.year else who


def _cited(source: Source | None, where: str) -> str:
    if source is None:
        return where
    parts = (source.author, str(source.year or ""), source.title, where)
    return ", ".join(part for part in parts if part)
