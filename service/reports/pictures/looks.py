"""How things look: each by shade and by hatch, marker or dash, so that none hangs on color alone.

Shades differ in lightness too, and stay apart where a picture is printed in grey.
"""

from dataclasses import dataclass

INK = "#1a1a1a"
QUIET = "#595959"
"""Text that says less; still 7 to 1 on white."""
RULE = "#c8c8c8"
PAPER = "#ffffff"


@dataclass(frozen=True, slots=True)
class Fill:
    """How an area looks."""

    shade: str
    hatch: str = ""
    dark: bool = False
    """Whether words on it are white."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a system looks: its marker and its line."""

    shade: str
    marker: str
    dash: tuple[float, ...] = ()


GROUPS = {
    "hay": Fill("#f3e3b3"),
    "work_and_machines": Fill("#2f4a63", dark=True),
    "things_built": Fill("#ffffff", "////"),
    "ground_and_grass": Fill("#a3bf8b", "---"),
    "manure_and_bedding": Fill("#b98f6b", "\\\\\\\\"),
}
STATES = {
    "frozen": Fill("#a9c1d3"),
    "snow_covered": Fill("#ffffff", "---"),
    "firm": Fill("#e6d3a3", "////"),
    "wet": Fill("#45382c", dark=True),
}
SEVERITIES = {
    "severe": Fill("#45382c", dark=True),
    "moderate": Fill("#c9ab88", "////"),
    "light": Fill("#ffffff"),
}
HAY = {
    "first": Fill("#e0c878"),
    "second": Fill("#ffffff", "////"),
    "kept": Fill("#f3e3b3"),
    "lost": Fill("#8f8f8f", "xxx"),
    "block": Fill("#2f4a63", dark=True),
}
WITH, WITHOUT = Fill("#2f4a63", dark=True), Fill("#ffffff", "////")
AT_LOW, AT_HIGH = Fill("#ffffff", "////"), Fill("#2f4a63", dark=True)

SYSTEMS = (
    Stroke(INK, "o"),
    Stroke("#1f6fa8", "s", (6, 2)),
    Stroke("#b04a12", "^", (2, 2)),
    Stroke("#3f7d3a", "D", (8, 2, 2, 2)),
    Stroke("#7a4a8c", "v", (4, 1.5, 1, 1.5)),
    Stroke("#8a6d00", "P", (1, 1.5)),
    Stroke("#5c5c5c", "X", (10, 3)),
)
"""By place in a picture: the baseline first, then by rank."""
