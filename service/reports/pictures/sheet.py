"""What pictures are drawn on: 360 pt wide, as a phone is, and as high as it turns out.

Measured from the top left corner. The library is imported when the first picture is drawn, for that
takes time that no other request should wait for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from io import StringIO
from threading import Lock
from typing import Any

from service.reports.pictures.looks import INK, PAPER, QUIET, RULE, Fill, Stroke
from service.reports.pictures.svg import finished, mark_of
from service.reports.pictures.wording import LARGE, SMALL, USUAL, fitted, lines_of, width

WIDTH = 360.0
MARGIN = 8.0
LEFT, RIGHT = MARGIN, WIDTH - MARGIN
ROOM = RIGHT - LEFT
POINTS_PER_INCH = 72
LINE = 14.0
SWATCH = 11.0
MARKER = 7.0
ANCHORS = {"start": "left", "middle": "center", "end": "right"}

SETTINGS = {
    "svg.fonttype": "none",
    "svg.hashsalt": "pictures",
    "svg.image_inline": True,
    "hatch.linewidth": 0.8,
    "path.simplify": False,
}
ONE_AT_A_TIME = Lock()
"""The library keeps state that threads share."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Library:
    """What is used of the library."""

    figure: Any
    canvas: Any
    patches: Any
    path: Any
    line: Any
    text: Any
    transform: Any
    locator: Any


@cache
def _library() -> _Library:
    base = import_module("matplotlib")
    found = _Library(
        import_module("matplotlib.figure").Figure,
        import_module("matplotlib.backends.backend_svg").FigureCanvasSVG,
        import_module("matplotlib.patches"),
        import_module("matplotlib.path").Path,
        import_module("matplotlib.lines").Line2D,
        import_module("matplotlib.text").Text,
        import_module("matplotlib.transforms").Affine2D,
        import_module("matplotlib.ticker").MaxNLocator,
    )
    base.rcdefaults()  # what a user has set for the library changes no picture
    base.rcParams.update(SETTINGS)
    return found


@dataclass(frozen=True, slots=True)
class Scale:
    """From amounts to places on the sheet."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, amount: float) -> float:
        """Return where an amount lies [pt]."""
        span = self.high - self.low
        return self.start + (self.end - self.start) * ((amount - self.low) / span if span else 0)


class Sheet:
    """A picture in the making."""

    def __init__(self, name: str, title: str) -> None:
        with ONE_AT_A_TIME:
            self._library = _library()
        self._name = name
        self._title = title
        self._artists: list[Any] = []
        self._words: list[str] = []
        self._place = self._library.transform()
        self.y = MARGIN
        """How far down the sheet is used."""
        for text in lines_of(title, ROOM, LARGE):
            self.words(LEFT, self.y + LARGE, text, size=LARGE, bold=True)
            self.y += LARGE + 3

    def area(self, x: float, y: float, wide: float, high: float, fill: Fill) -> None:
        """Fill a rectangle."""
        if wide > 0 and high > 0:
            self._patch(self._library.patches.Rectangle((x, y), wide, high), fill)

    def shape(self, corners: Sequence[Point], fill: Fill) -> None:
        """Fill what lies between corners."""
        self._patch(self._library.patches.Polygon(list(corners), closed=True), fill)

    def areas(self, boxes: Sequence[tuple[float, float, float, float]], fill: Fill) -> None:
        """Fill many rectangles alike: x, y, width and height of each."""
        corners: list[Point] = []
        codes: list[int] = []
        path = self._library.path
        for x, y, wide, high in boxes:
            corners += [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]
            codes += [path.MOVETO, path.LINETO, path.LINETO, path.LINETO, path.CLOSEPOLY]
        if corners:
            self._patch(self._library.patches.PathPatch(path(corners, codes)), fill)

    def _patch(self, patch: Any, fill: Fill) -> None:  # noqa: ANN401 - the library's
        patch.set(facecolor=fill.shade, edgecolor=INK, linewidth=0.6, hatch=fill.hatch or None)
        self._add(patch)

    def line(
        self,
        points: Sequence[Point],
        shade: str = INK,
        thick: float = 0.8,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a line through points."""
        line = self._library.line(*zip(*points, strict=True), color=shade, linewidth=thick)
        if dash:
            line.set_linestyle((0, dash))
        self._add(line)

    def rule(self, start: Point, end: Point) -> None:
        """Draw a thin grey line."""
        self.line([start, end], RULE, 0.6)

    def marks(self, points: Sequence[Point], look: Stroke, size: float = MARKER) -> None:
        """Set the marker of a system on points."""
        self._add(
            self._library.line(
                *zip(*points, strict=True),
                linestyle="none",
                marker=look.marker,
                markersize=size,
                markerfacecolor=look.shade,
                markeredgecolor=PAPER,
                markeredgewidth=0.6,
            )
        )

    def ring(self, point: Point, size: float = 9.0) -> None:
        """Draw a hollow circle around a point."""
        radius = size / 2
        circle = self._library.patches.Circle(point, radius)
        circle.set(facecolor="none", edgecolor=INK, linewidth=1.4)
        self._add(circle)

    def words(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = USUAL,
        bold: bool = False,
        anchor: str = "start",
        shade: str = INK,
        turned: bool = False,
    ) -> None:
        """Write one line of text; ``y`` is its foot. Turned text reads upward."""
        if not text:
            return
        mark = self._library.text(
            x,
            y,
            mark_of(len(self._words)),
            fontsize=size,
            fontweight="bold" if bold else "normal",
            horizontalalignment=ANCHORS[anchor],
            verticalalignment="baseline",
            color=shade,
            rotation=90 if turned else 0,
            rotation_mode="anchor",
            parse_math=False,
        )
        self._words.append(text)
        self._add(mark)

    def number(self, x: float, y: float, text: str, fill: Fill) -> None:
        """Write a number in the middle of an area, on a plain ground of its own if hatched."""
        if fill.hatch:
            wide = width(text, SMALL) + 2
            ground = self._library.patches.Rectangle((x - wide / 2, y - 9), wide, 11)
            ground.set(facecolor=PAPER, edgecolor="none")
            self._add(ground)
        self.words(x, y, text, size=SMALL, anchor="middle", shade=PAPER if fill.dark else INK)

    def said(self, text: str, *, shade: str = QUIET, size: float = SMALL) -> None:
        """Write sentences below what is there, in as many lines as they take."""
        for line in lines_of(text, ROOM, size):
            self.y += LINE - 1
            self.words(LEFT, self.y, line, size=size, shade=shade)

    def heading(self, text: str) -> None:
        """Write what the next part is about."""
        self.y += LINE + 2
        self.words(LEFT, self.y, fitted(text, ROOM), bold=True)

    def legend(self, fills: Sequence[tuple[str, Fill]], columns: int) -> None:
        """Say what each area means, below what is there."""
        step = ROOM / columns
        for number, (text, fill) in enumerate(fills):
            column = number % columns
            if column == 0:
                self.y += LINE + 2
            x = LEFT + column * step
            self.area(x, self.y - SWATCH + 2, SWATCH + 5, SWATCH, fill)
            room = step - SWATCH - 12
            self.words(x + SWATCH + 9, self.y, fitted(text, room, SMALL), size=SMALL)

    def key(self, text: str, look: Stroke, *, lined: bool = False) -> None:
        """Say which system a marker is, below what is there."""
        self.y += LINE + 1
        x, y = LEFT + 12, self.y - 4
        if lined:
            self.line([(LEFT, y), (LEFT + 24, y)], look.shade, 1.6, look.dash)
        self.marks([(x, y)], look)
        self.words(LEFT + 30, self.y, fitted(text, ROOM - 30))

    def ticks(self, low: float, high: float, most: int = 5) -> list[float]:
        """Return round amounts from low to high."""
        found = self._library.locator(nbins=most, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
        return [float(tick) for tick in found]

    def _add(self, artist: Any) -> None:  # noqa: ANN401 - the library's
        artist.set_transform(self._place)
        artist.set_zorder(1)  # painted in the order in which they come
        self._artists.append(artist)

    def finished(self, told: str) -> str:
        """Return the picture; ``told`` is what it shows, in sentences."""
        height = round(self.y + MARGIN)
        self._place.scale(1, -1).translate(0, height)
        with ONE_AT_A_TIME:
            size = (WIDTH / POINTS_PER_INCH, height / POINTS_PER_INCH)
            figure = self._library.figure(figsize=size, dpi=POINTS_PER_INCH, facecolor=PAPER)
            for artist in self._artists:
                figure.add_artist(artist)
            drawn = StringIO()
            nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
            self._library.canvas(figure).print_svg(drawn, metadata=nothing)
        return finished(drawn.getvalue(), self._name, self._title, told, self._words)
