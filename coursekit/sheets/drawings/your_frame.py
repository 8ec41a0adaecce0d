"""The worksheet's field of the lesson on the whole frame: where the walk ends, what papers say.

The four directions are given readings, so the field gives no answer away: the end is the student's
to plot.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from math import cos, radians, sin

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 198.0
SCALE = 2.0  # mm on paper for a mm of gap
MIDDLE = (64.0, 62.0)  # the start of the walk
REACH = 26.0  # mm of gap that the field shows, either way
_line = pen.line
_words = partial(pen.words, size=3.8)
LEGS = {
    "down_way": "down tube",
    "top_way": "top tube",
    "head_way": "steering axis",
    "seat_way": "seat tube",
}
ROWS = (
    ("wheelbase", "drawing", "fixture"),
    ("top tube, crossing to crossing", "drawing", "cut list"),
    ("top tube, mark to mark", "cut list", "tape"),
    ("piece and both cuts, top tube", "sum", "as bought"),
    ("front centre", "drawing", "tape"),
)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the field to plot the walk's end in, with the directions of its legs, and a table."""
    svg = pen.field(WIDTH, HEIGHT, _grid(), _rays(numbers), _say(), _table())
    scale = f"field {SCALE:g} : 1, that is {SCALE:g} mm on paper for 1 mm of gap"
    return Drawing("Where your walk ends, and what agrees", scale, WIDTH, HEIGHT, svg)


def _grid() -> str:
    x, y = MIDDLE
    side, parts = SCALE * REACH, []
    for mm in range(-int(REACH), int(REACH) + 1, 2):
        bold = 0.28 if mm % 10 == 0 else 0.1
        at = SCALE * mm
        parts.append(_line(x + at, y - side, x + at, y + side, bold))
        parts.append(_line(x - side, y + at, x + side, y + at, bold))
        if mm % 10 == 0 and mm:
            parts.append(_words(x + at, y + side + 4.5, long_minus(f"{mm:+d}")))
            parts.append(_words(x - side - 1.2, y - at + 1.3, long_minus(f"{mm:+d}"), "end"))
    parts.append(f'<circle cx="{x:g}" cy="{y:g}" r="1.4" fill="black"/>')
    return "".join(parts)


def _rays(numbers: Mapping[str, float]) -> str:
    """Return a dashed line through the start for each leg, named where it leaves the field."""
    parts = []
    x, y = MIDDLE
    for name, say in LEGS.items():
        way = radians(numbers[name])
        long = SCALE * REACH / max(abs(cos(way)), abs(sin(way)))
        dx, dy = long * cos(way), -long * sin(way)
        parts.append(_line(x - dx, y - dy, x + dx, y + dy, 0.35, "3 1.5"))
        if dx < 0 and abs(dx) > abs(dy):
            dx, dy = -dx, -dy  # named on the right
        if abs(dx) > abs(dy):
            parts.append(_words(x + dx + 2, y + dy + 1.3, say, "start"))
        elif name == "head_way":
            parts.append(_words(x + dx - 2, y - abs(dy) - 2, say, "end"))
        elif name == "seat_way":
            parts.append(_words(x + abs(dx) + 2, y + abs(dy) + 9, say, "start"))
        else:
            parts.append(_words(x + dx + 2, y - abs(dy) - 2, say, "start"))
    return "".join(parts)


def _say() -> str:
    x, top = MIDDLE[0] + SCALE * REACH + 8, 20.0
    said = (
        "1  Add up your runs and rises.",
        "2  Plot where the walk ends:",
        "    forward to the right, up above.",
        "3  Draw the gap from the start.",
        "4  Name the leg that it lies along.",
    )
    return pen.rows(x, top, said, 6, 3.7)


def _table() -> str:
    """Return lines to write one number by two ways, and what they differ by."""
    top, columns = 134.0, (70.0, 107.0, 144.0)
    parts = [_words(2, top - 1.5, "one number, two ways (mm)", "start")]
    parts.append(_words(columns[2] + 16, top - 1.5, "differ by"))
    for i, (say, one, other) in enumerate(ROWS):
        y = top + 3 + 12 * i
        parts.append(_words(2, y + 6.5, say, "start"))
        for x, label in zip(columns, (one, other, ""), strict=True):
            parts.append(pen.box(x, y, 32, 10, 0.3))
            parts.append(_words(x + 1, y + 3.4, label, "start", size=3.2))
    return "".join(parts)
