"""The lines of a result: what each is called, means, and in which picture group it stands."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Line:
    """One named row of a result."""

    key: str
    title: str
    group: str
    meaning: str


GROUPS = {
    "hay": "Hay",
    "work_and_machines": "Work and machines",
    "things_built": "Things built",
    "ground_and_grass": "Ground and grass",
    "manure_and_bedding": "Manure and bedding, less its value",
}
"""The five groups of the pictures."""

_LINES = (
    Line("hay_eaten", "Hay eaten", "hay", "Hay that animals eat."),
    Line("hay_wasted", "Hay wasted", "hay", "Hay offered and not eaten."),
    Line(
        "hay_lost_in_storage",
        "Hay lost in storage",
        "hay",
        "Hay that spoils before it is fed.",
    ),
    Line(
        "late_summer_hay",
        "Late-summer hay",
        "hay",
        "Hay bought in late summer because grass is shut for winter.",
    ),
    Line(
        "supplement",
        "Supplement",
        "hay",
        "Feed bought to fill what hay or grass lacks.",
    ),
    Line(
        "stockpile_fertilizer",
        "Fertilizer on stockpile",
        "ground_and_grass",
        "Nitrogen for grass that is shut, and spreading it.",
    ),
    Line(
        "stockpile_forage",
        "Late-summer grass given up",
        "ground_and_grass",
        "Worth of grass that is kept for winter and not grazed in late summer.",
    ),
    Line("bedding", "Bedding", "manure_and_bedding", "Straw or stalks for floors."),
    Line("labor", "Labor", "work_and_machines", "Hours of people, but for manure."),
    Line(
        "machinery",
        "Machinery",
        "work_and_machines",
        "Hours of machines, but for manure.",
    ),
    Line(
        "manure_handling",
        "Manure handling",
        "manure_and_bedding",
        "Scraping, cleaning out and spreading, people and machines.",
    ),
    Line(
        "structures",
        "Structures",
        "things_built",
        "Building and replacing, less what is left at the end.",
    ),
    Line(
        "cost_share",
        "Cost-share",
        "things_built",
        "Public money toward structures, below zero.",
    ),
    Line(
        "structure_upkeep",
        "Upkeep of structures",
        "things_built",
        "Repairs and top-ups.",
    ),
    Line(
        "ground_restoration",
        "Ground restoration",
        "ground_and_grass",
        "Repair of damaged ground.",
    ),
    Line(
        "forage_lost",
        "Forage lost",
        "ground_and_grass",
        "Grass that damaged ground does not grow.",
    ),
    Line(
        "animal_losses",
        "Animal losses",
        "hay",
        "Condition, young and feet; counted only where the scenario asks for it.",
    ),
    Line(
        "nutrient_credit",
        "Nutrient credit",
        "manure_and_bedding",
        "Fertilizer that nutrients from hay replace, below zero.",
    ),
)

LINES = {line.key: line for line in _LINES}
"""The lines in the order in which they are shown."""
