"""The worksheet's field of the lesson on butt finding: the student's trace and dial on graph paper.

Readings are given numbers, so the field gives no answer away: flats, slope and wave are the
student's to draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 196.0
ALONG, UP = 0.8, 200.0  # mm on paper for a mm of tube, of wall
ORIGIN = (20.0, 122.0)  # the first place, at the lowest wall shown
LOW, HIGH = 0.44, 0.98  # mm of wall that the field shows
FIRST, LAST = 50, 240  # mm from end a that it shows
AROUND, SWING = 0.3, 25.0  # mm on paper for a degree, for a mm of the dial
DIAL = (20.0, 182.0)  # mark 0°, at the lowest dial reading shown
LEAST, MOST = 0.2, 1.8  # mm of dial that it shows
RING = (156.0, 160.0, 13.0)  # centre and radius of the tube's end
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the student's field, from `wall_60` … `wall_230` and `dial_0` … `dial_315`, mm."""
    parts = (_say(), _trace_grid(), _trace(numbers), _dial_grid(), _dial(numbers), _ring())
    svg = pen.field(WIDTH, HEIGHT, *parts)
    return Drawing(
        "Your trace, and your dial",
        "trace 200 : 1 upward, 4 : 5 along the tube; dial 25 : 1 upward",
        WIDTH,
        HEIGHT,
        svg,
    )


def _at(place: float, wall: float) -> tuple[float, float]:
    return ORIGIN[0] + (place - FIRST) * ALONG, ORIGIN[1] - (wall - LOW) * UP


def _turn(mark: float, reading: float) -> tuple[float, float]:
    return DIAL[0] + mark * AROUND, DIAL[1] - (reading - LEAST) * SWING


def _line(x1: float, y1: float, x2: float, y2: float, width: float) -> str:
    ink = "black" if width > 0.2 else "#909090"  # a fine grid stays behind the pencil
    return pen.line(x1, y1, x2, y2, width, ink=ink)


def _cross(x: float, y: float) -> str:
    ring = pen.ring(x, y, 1.7, 0.3)
    return ring + _line(x - 1.2, y, x + 1.2, y, 0.5) + _line(x, y - 1.2, x, y + 1.2, 0.5)


def _say() -> str:
    trace = (
        "1  Draw the two flats and the slope. Where the slope meets them, go down and read both "
        "places."
    )
    dial = "2  Draw one even wave through the eight readings: as far above its middle as below."
    return _words(2, 5, trace, "start", 4) + _words(2, 139.5, dial, "start", 4)


def _trace_grid() -> str:
    """Return a line every 5 mm of tube and every hundredth of wall, bolder at 50 and at tenths."""
    (left, foot), (right, top) = _at(FIRST, LOW), _at(LAST, HIGH)
    made = ""
    for x in range(FIRST, LAST + 1, 5):
        at = _at(x, LOW)[0]
        made += _line(at, top, at, foot, 0.3 if x % 50 == 0 else 0.15 if x % 10 == 0 else 0.06)
        if x % 20 == 0:
            made += _words(at, foot + 4.6, f"{x}")
    for k in range(round(LOW * 100), round(HIGH * 100) + 1):
        y = _at(FIRST, k / 100)[1]
        made += _line(left, y, right, y, 0.06 if k % 5 else 0.15 if k % 10 else 0.3)
        if k % 10 == 0:
            made += _words(left - 2, y + 1.2, f"{k / 100:.1f}", "end")
    made += _words((left + right) / 2, foot + 9.6, "from end a, mm")
    return made + pen.upright(6, (top + foot) / 2, "wall, mm")


def _trace(numbers: Mapping[str, float]) -> str:
    return "".join(_cross(*_at(x, numbers[f"wall_{x}"])) for x in range(60, 240, 10))


def _dial_grid() -> str:
    """Return a line every 15° and every tenth of the dial, bolder at the marks and at halves."""
    (left, foot), (right, top) = _turn(0, LEAST), _turn(360, MOST)
    made = ""
    for mark in range(0, 361, 15):
        at = _turn(mark, LEAST)[0]
        made += _line(at, top, at, foot, 0.3 if mark % 45 == 0 else 0.08)
        if mark % 45 == 0:
            made += _words(at, foot + 4.6, f"{mark}°")
    for k in range(round(LEAST * 10), round(MOST * 10) + 1):
        y = _turn(0, k / 10)[1]
        made += _line(left, y, right, y, 0.08 if k % 5 else 0.3)
        if k % 5 == 0:
            made += _words(left - 2, y + 1.2, f"{k / 10:.1f}", "end")
    made += _words((left + right) / 2, foot + 9.6, "mark on top")
    return made + pen.upright(6, (top + foot) / 2, "dial, mm")


def _dial(numbers: Mapping[str, float]) -> str:
    return "".join(_cross(*_turn(a, numbers[f"dial_{a}"])) for a in range(0, 360, 45))


def _ring() -> str:
    """Return the tube's end with its eight marks, for the arrow to the high spot."""
    x, y, radius = RING
    made = pen.ring(x, y, radius, 0.4, "none")
    for mark in range(0, 360, 45):
        way = radians(90 + mark)
        at = [(x + r * cos(way), y - r * sin(way)) for r in (radius - 2, radius, radius + 4)]
        made += _line(*at[0], *at[1], 0.4) + _words(at[2][0], at[2][1] + 1.2, f"{mark}")
    return (
        made
        + _cross(x, y)
        + _words(x, y + radius + 11, "end a: arrow to")
        + _words(x, y + radius + 15.5, "the high spot")
    )
