"""The worksheet's field of the lesson on alignment checks: the student's readings over the seat tube.

Readings of both faces are given numbers, so the field gives no answer away: half differences, line and
top are the student's to draw.
"""

from __future__ import annotations

from collections.abc import Mapping

from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 196.0
PER_MM = 25.0  # mm on paper for a mm of offset
ALONG = 4.0  # mm of tube for a mm on paper
ORIGIN = (24.0, 100.0)  # shell's axis, gauge's zero
ENDS = 550.0  # mm of tube that the field shows
REACH = 2.8  # mm of offset that it shows, either way
PLACES = (100, 200, 300, 400)
FONT = "Libertinus Serif"


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the student's field: a grid, all eight readings, and where the tube's top is.

    `numbers` holds `seat_up_…` and `seat_down_…` at the four places and `to_top`, mm.
    """
    parts = (_grid(), _axes(), _top(numbers["to_top"]), _readings(numbers), _say())
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'width="{WIDTH:g}mm" height="{HEIGHT:g}mm" font-family="{FONT}" fill="black">'
        f"{''.join(parts)}</svg>"
    )
    return Drawing(
        "Your seat tube, read from both faces",
        "25 : 1 across, that is 25 mm on paper for 1 mm; 1 : 4 along the tube",
        WIDTH,
        HEIGHT,
        svg,
    )


def _at(place: float, reading: float) -> tuple[float, float]:
    return ORIGIN[0] + place / ALONG, ORIGIN[1] - reading * PER_MM


def _line(x1: float, y1: float, x2: float, y2: float, width: float, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="black" '
        f'stroke-width="{width:g}"{dashed}/>'
    )


def _words(x: float, y: float, text: str, anchor: str = "middle", size: float = 3.8) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}">{text}</text>'
    )


def _grid() -> str:
    """Return a line every tenth of a mm of offset and every 20 mm of tube, bolder at 0.5 and 100."""
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
    made += _words(
        (left + right) / 2, foot + 11, "along the seat tube from the shell's axis, mm", size=4
    )
    middle = (top + foot) / 2
    turned = f'<g transform="rotate(-90 9 {middle:g})">'
    return f"{made}{turned}{_words(9, middle, 'reading or offset, mm, drive side positive', size=4)}</g>"


def _top(place: float) -> str:
    """Return the dashed line at the top of the student's tube."""
    (x, top), (_, foot) = _at(place, REACH), _at(place, -REACH)
    patch = f'<rect x="{x - 9:.2f}" y="{foot - 7:.2f}" width="18" height="5.4" fill="white"/>'
    return _line(x, top, x, foot, 0.5, "3 1.5") + patch + _words(x, foot - 3, f"top, {place:g}")


def _readings(numbers: Mapping[str, float]) -> str:
    made = ""
    for place in PLACES:
        x, y = _at(place, numbers[f"seat_up_{place}"])
        made += (
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="1.6" fill="white" stroke="black" '
            'stroke-width="0.6"/>'
        )
        x, y = _at(place, numbers[f"seat_down_{place}"])
        made += _line(x - 1.5, y - 1.5, x + 1.5, y + 1.5, 0.6)
        made += _line(x - 1.5, y + 1.5, x + 1.5, y - 1.5, 0.6)
    return made


def _say() -> str:
    ring = '<circle cx="6" cy="3.7" r="1.6" fill="white" stroke="black" stroke-width="0.6"/>'
    cross = _line(58.5, 2.2, 61.5, 5.2, 0.6) + _line(58.5, 5.2, 61.5, 2.2, 0.6)
    return (
        ring
        + _words(10, 5, "reading, drive side up", "start", 4)
        + cross
        + _words(64, 5, "reading, drive side down", "start", 4)
        + _words(4, 12.5, "Mark the half difference of each pair with a dot, then lay a clear ruler through the four dots and", "start", 4)
        + _words(4, 18.5, "draw the line from the shell to the top. Read it at both ends. The half sums should lie level.", "start", 4)
    )  # fmt: skip
