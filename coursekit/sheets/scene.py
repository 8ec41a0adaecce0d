"""What a drawing is made of, in mm: lines, arcs, closed outlines, words and dimensions on layers.

x to the right, y up; angles in degrees from x, counter-clockwise. Every writer (PDF, SVG, DXF)
reads the same parts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np

Point = tuple[float, float]
WORD = 0.52  # width of a letter over its height, a little more than it takes


@dataclass(frozen=True)
class Layer:
    """How the parts of a layer are drawn.

    Attributes
    ----------
    thickness
        Of its lines, mm.
    dash
        mm on, mm off and so on; none for a whole line.
    colour
        Number in the AutoCAD Color Index, for screens only: paper is black.
    """

    thickness: float
    dash: tuple[float, ...] = ()
    colour: int = 7


LAYERS = {
    "outline": Layer(0.5),
    "axis": Layer(0.18, (12.0, 2.0, 2.0, 2.0), 1),
    "wheel": Layer(0.18, (5.0, 2.5), 8),
    "point": Layer(0.25, (), 1),
    "dimension": Layer(0.18, (), 5),
    "words": Layer(0.18, (), 7),
    "sheet": Layer(0.35, (), 7),
}


@dataclass(frozen=True)
class Stroke:
    """A straight line."""

    layer: str
    start: Point
    end: Point


@dataclass(frozen=True)
class Path:
    """A line through many points; a closed one goes back to the first."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True)
class Arc:
    """An arc from one angle counter-clockwise to another; a circle from 0 to 360."""

    layer: str
    centre: Point
    radius: float
    start_deg: float = 0.0
    end_deg: float = 360.0


@dataclass(frozen=True)
class Words:
    """A line of text `height` mm high (capitals), its baseline at `at`, turned about it.

    `anchor`, "start", "middle" or "end" of the line lies at `at`.
    """

    text: str
    at: Point
    height: float = 3.5
    anchor: str = "start"
    turned_deg: float = 0.0
    layer: str = "words"

    @property
    def width(self) -> float:
        """About how long the line is, mm, never too short."""
        return max(1, len(self.text)) * self.height * WORD * 1.4


@dataclass(frozen=True)
class Gap:
    """The dimension of the distance from `start` to `end`, drawn `off` mm to its left.

    `along` turns it: none measures straight, 0 level, 90 upright.
    """

    start: Point
    end: Point
    off: float
    along: float | None = None

    @property
    def way_deg(self) -> float:
        """Direction that is measured along."""
        if self.along is not None:
            return self.along
        return degrees(atan2(self.end[1] - self.start[1], self.end[0] - self.start[0]))

    @property
    def size(self) -> float:
        """What is measured, mm."""
        c, s = cos(radians(self.way_deg)), sin(radians(self.way_deg))
        return abs((self.end[0] - self.start[0]) * c + (self.end[1] - self.start[1]) * s)

    @property
    def line(self) -> tuple[Point, Point]:
        """Both ends of the dimension line."""
        c, s = cos(radians(self.way_deg)), sin(radians(self.way_deg))
        first = self.start[0] - s * self.off, self.start[1] + c * self.off
        run = (self.end[0] - first[0]) * c + (self.end[1] - first[1]) * s
        return first, (first[0] + run * c, first[1] + run * s)


@dataclass(frozen=True)
class Angle:
    """The dimension of an angle at `centre`, from one direction counter-clockwise to another."""

    centre: Point
    radius: float
    start_deg: float
    end_deg: float

    @property
    def size(self) -> float:
        """The angle, degrees."""
        return self.end_deg - self.start_deg


Part = Stroke | Path | Arc | Words | Gap | Angle
Box = tuple[float, float, float, float]


def box_of(part: Part) -> Box:
    """(left, bottom, right, top) of a part, mm, a little too large for words and dimensions."""
    if isinstance(part, Stroke):
        return _around((part.start, part.end))
    if isinstance(part, Path):
        return _around(part.points)
    if isinstance(part, Arc):
        return _arc_box(part)
    if isinstance(part, Words):
        return _words_box(part)
    if isinstance(part, Gap):
        return _around((part.start, part.end, *part.line), 10.0)
    (x, y), r = part.centre, part.radius + 12.0
    return x - r, y - r, x + r, y + r


def bounds(parts: Iterable[Part]) -> Box:
    """The box that all parts lie in."""
    boxes = np.array([box_of(p) for p in parts])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes touch.

    Examples
    --------
    >>> overlap((0, 0, 1, 1), (1, 1, 2, 2)), overlap((0, 0, 1, 1), (1.1, 0, 2, 2))
    (True, False)
    """
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _around(points: Sequence[Point], more: float = 0.0) -> Box:
    x, y = np.array(points, dtype=float).T
    return x.min() - more, y.min() - more, x.max() + more, y.max() + more


def _arc_box(arc: Arc) -> Box:
    turns = [arc.start_deg, arc.end_deg]
    quarter = -(-arc.start_deg // 90) * 90
    while quarter < arc.end_deg:
        turns.append(quarter)
        quarter += 90
    (x, y), r = arc.centre, arc.radius
    return _around([(x + r * cos(radians(t)), y + r * sin(radians(t))) for t in turns])


def _words_box(words: Words) -> Box:
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * words.width
    c, s = cos(radians(words.turned_deg)), sin(radians(words.turned_deg))
    corners = [
        (u - back, v) for u in (0.0, words.width) for v in (-words.height, 1.6 * words.height)
    ]
    x, y = words.at
    return _around([(x + u * c - v * s, y + u * s + v * c) for u, v in corners])


def apart(a: Point, b: Point) -> float:
    """Distance of two points, mm."""
    return hypot(b[0] - a[0], b[1] - a[1])
