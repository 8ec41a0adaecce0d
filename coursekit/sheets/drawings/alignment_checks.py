"""The worksheet's field of the lesson on alignment checks: readings along the student's seat tube.

Readings of both faces are given numbers, so the field gives no answer away: the student draws the
half differences and the line, and reads it at the top.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 196.0
PER_MM = 25.0  # mm on paper for a mm of offset
ALONG = 4.0  # mm of tube for a mm on paper
ORIGIN = (24.0, 100.0)  # shell's axis, gauge's zero
ENDS = 600.0  # mm of tube that the field shows
REACH = 2.8  # mm of offset that it shows, either way
PLACES = (100, 200, 300, 400)
_line = pen.line
_words = partial(pen.words, size=3.8)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the student's field: a grid, all eight readings, and where the tube's top is.

    `numbers` holds `seat_up_…` and `seat_down_…` at the four places and `to_top`, mm.
    """
    parts = (_grid(), _axes(), _top(numbers["to_top"]), _readings(numbers), _say())
    svg = pen.field(WIDTH, HEIGHT, *parts)
    return Drawing(
        "Your seat tube, read from both faces",
        "25 : 1 across, that is 25 mm on paper for 1 mm; 1 : 4 along the tube",
        WIDTH,
        HEIGHT,
        svg,
    )


def _at(place: float, reading: float) -> tuple[float, float]:
    return ORIGIN[0] + place / ALONG, ORIGIN[1] - reading * PER_MM


def _grid() -> str:
    """Return lines each tenth of a mm of offset and 20 mm of tube, bolder at 0.5 and at 100."""
    (left, foot), (right, top) = _at(0, -REACH), _at(ENDS, REACH)
    upright = (
        _line(_at(x, 0)[0], top, _at(x, 0)[0], foot, 0.25 if x % 100 == 0 else 0.08)
        for x in range(0, int(ENDS) + 1, 20)
    )
    tenths = round(REACH * 10)
    level = (
        _line(left, _at(0, k / 10)[1], right, _at(0, k / 10)[1], 0.08 if k % 5 else 0.25)
        for k in range(-tenths, tenths + 1)
    )
    return "".join((*upright, *level, _line(right, top, right, foot, 0.25)))


def _axes() -> str:
    (left, foot), (right, top) = _at(0, -REACH), _at(ENDS, REACH)
    made = _line(left, ORIGIN[1], right, ORIGIN[1], 0.6) + _line(left, foot, left, top, 0.6)
    made += "".join(_words(_at(x, 0)[0], foot + 5, f"{x}") for x in range(0, 501, 100))
    for half in range(-5, 6):
        text = long_minus(f"{half / 2:g}")
        made += _words(left - 2, _at(0, half / 2)[1] + 1.3, text, "end")
    along = "along the seat tube from the shell's axis, mm"
    across = "reading or offset, mm, drive side positive"
    made += _words((left + right) / 2, foot + 11, along, size=4)
    return made + pen.upright(9, (top + foot) / 2, across, size=4)


def _top(place: float) -> str:
    """Return the dashed line at the top of the student's tube."""
    (x, top), (_, foot) = _at(place, REACH), _at(place, -REACH)
    patch = f'<rect x="{x - 9:.2f}" y="{foot - 7:.2f}" width="18" height="5.4" fill="white"/>'
    return _line(x, top, x, foot, 0.5, "3 1.5") + patch + _words(x, foot - 3, f"top, {place:g}")


def _readings(numbers: Mapping[str, float]) -> str:
    made = ""
    for place in PLACES:
        made += pen.ring(*_at(place, numbers[f"seat_up_{place}"]), 1.6, 0.6)
        made += _cross(*_at(place, numbers[f"seat_down_{place}"]))
    return made


def _cross(x: float, y: float) -> str:
    rising = _line(x - 1.5, y - 1.5, x + 1.5, y + 1.5, 0.6)
    return rising + _line(x - 1.5, y + 1.5, x + 1.5, y - 1.5, 0.6)


def _say() -> str:
    lines = (
        "Mark the half difference of each pair with a dot, then lay a clear ruler through the four "
        "dots and",
        "draw the line from the shell to the top. Read it at both ends. The half sums should lie "
        "level.",
    )
    return (
        pen.ring(6, 3.7, 1.6, 0.6)
        + _words(10, 5, "reading, drive side up", "start", size=4)
        + _cross(60, 3.7)
        + _words(64, 5, "reading, drive side down", "start", size=4)
        + pen.rows(4, 12.5, lines, 6, 4)
    )
