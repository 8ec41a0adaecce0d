"""The worksheet's field of the lesson on tack order: pulls laid head to tail, 40 mm for 1 mm."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, pi, sin

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 198.0
PER_MM = 40.0  # mm on paper for a mm at the gauge
ORIGIN = (38.0, 144.0)  # where the first arrow starts
LEFT, RIGHT, UP, DOWN = 5, 30, 20, 10  # the field, tenths of a mm at the gauge
RING = (141.0, 27.0, 12.0)  # middle and radius of the ring
_line = pen.line
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the student's field: a grid, the ring to number, and the first arrow as it was read.

    `numbers` holds `after_one`, mm at the gauge, toward the rear: a given number, so the first
    arrow gives no answer away. All the other arrows are the student's to draw.
    """
    first = numbers["after_one"]
    parts = (_grid(), _axes(), _first(first), _ring(), _say(first))
    svg = pen.field(WIDTH, HEIGHT, *parts)
    return Drawing(
        "Your pulls, head to tail",
        "40 : 1, that is 40 mm on paper for 1 mm at the gauge",
        WIDTH,
        HEIGHT,
        svg,
    )


def _grid() -> str:
    """Return a line every tenth of a mm at the gauge, a bolder one every half."""
    x, y = ORIGIN
    tenth = PER_MM / 10
    left, right, top, foot = x - LEFT * tenth, x + RIGHT * tenth, y - UP * tenth, y + DOWN * tenth
    upright = (
        _line(x + i * tenth, top, x + i * tenth, foot, 0.08 if i % 5 else 0.25)
        for i in range(-LEFT, RIGHT + 1)
    )
    level = (
        _line(left, y - i * tenth, right, y - i * tenth, 0.08 if i % 5 else 0.25)
        for i in range(-DOWN, UP + 1)
    )
    return "".join((*upright, *level))


def _axes() -> str:
    x, y = ORIGIN
    tenth = PER_MM / 10
    left, right, top, foot = x - LEFT * tenth, x + RIGHT * tenth, y - UP * tenth, y + DOWN * tenth
    made = _line(left, y, right, y, 0.5) + _line(x, foot, x, top, 0.5)
    made += "".join(_words(x + PER_MM * i, foot + 5, f"{i}") for i in range(RIGHT // 10 + 1))
    made += "".join(
        _words(left - 2, y - PER_MM * i + 1.2, long_minus(f"{i}"), "end")
        for i in range(-DOWN // 10, UP // 10 + 1)
    )
    level = "in plane, mm at the gauge, rear positive"
    across = "across, mm at the gauge, drive side positive"
    made += _words((left + right) / 2, foot + 11, level, size=4)
    return made + pen.upright(9, (top + foot) / 2, across, size=4)


def _first(length: float) -> str:
    x, y = ORIGIN
    tip = x + PER_MM * length
    head = f'<path d="M{tip:.2f} {y:.2f}l-4 -1.4v2.8z"/>'
    start = f'<circle cx="{x:g}" cy="{y:g}" r="1.1"/>'
    middle = (x + tip) / 2
    size = 'width="4.8" height="5.6" fill="white"'
    patch = f'<rect x="{middle - 2.4:.2f}" y="{y + 1.6:.2f}" {size}/>'
    number = patch + _words(middle, y + 6, "1", size=5)
    return start + _line(x, y, tip - 3, y, 1.0) + head + number


def _ring() -> str:
    x, y, radius = RING
    made = pen.ring(x, y, radius, 0.7, "none")
    for angle_deg in (0, 90, 180, 270):
        c, s = cos(pi * angle_deg / 180), sin(pi * angle_deg / 180)
        made += pen.ring(x + radius * c, y - radius * s, 3.6, 0.5)
    made += _words(x + radius + 5, y + 1.3, "0° rear", "start")
    made += _words(x - radius - 5, y + 1.3, "180° front", "end")
    made += _words(x, y - radius - 5.5, "90° drive side")
    return made + _words(x, y + radius + 8.5, "270° non-drive side")


def _say(first: float) -> str:
    lines = (
        "Number the tacks in the ring, in your order.",
        f"The first arrow is drawn for you: {first:g} mm at the gauge,",
        f"so {PER_MM * first:g} mm on paper, toward the rear.",
        "Lay each next pull at the tip of the one before, in the",
        "direction of its tack. Last, one arrow from the dot to the",
        "end: what is left. Measure it, divide by 40.",
    )
    last = "Use a second colour for another order."
    return pen.rows(4, 9, lines, 6, 4) + _words(4, 9 + 6 * len(lines) + 1, last, "start", 4)
