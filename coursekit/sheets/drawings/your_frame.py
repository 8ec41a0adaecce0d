"""The worksheet's field of the lesson on the whole frame: where the walk ends, and the papers' numbers.

The four directions are given readings, so the field gives no answer away: the end is the student's to plot.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin

from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 198.0
SCALE = 2.0  # mm on paper for a mm of gap
MIDDLE = (64.0, 62.0)  # the start of the walk
REACH = 26.0  # mm of gap that the field shows, either way
FONT = "Libertinus Serif"
LEGS = {"down_way": "down tube", "top_way": "top tube", "head_way": "steering axis", "seat_way": "seat tube"}  # fmt: skip
ROWS = (
    ("wheelbase", "drawing", "fixture"),
    ("top tube, crossing to crossing", "drawing", "cut list"),
    ("top tube, mark to mark", "cut list", "tape"),
    ("piece and both cuts, top tube", "sum", "as bought"),
    ("front centre", "drawing", "tape"),
)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the field to plot the end of the walk in, with the directions of its legs, and a table."""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'width="{WIDTH:g}mm" height="{HEIGHT:g}mm" font-family="{FONT}" fill="black">'
        f"{_grid()}{_rays(numbers)}{_say()}{_table()}</svg>"
    )
    return Drawing("Where your walk ends, and what agrees", f"field {SCALE:g} : 1, that is {SCALE:g} mm on paper for 1 mm of gap", WIDTH, HEIGHT, svg)  # fmt: skip


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
    x, y = MIDDLE
    side, parts = SCALE * REACH, []
    for mm in range(-int(REACH), int(REACH) + 1, 2):
        bold = 0.28 if mm % 10 == 0 else 0.1
        at = SCALE * mm
        parts += [_line(x + at, y - side, x + at, y + side, bold), _line(x - side, y + at, x + side, y + at, bold)]  # fmt: skip
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
    return "".join(_words(x, top + 6 * i, text, "start", 3.7) for i, text in enumerate(said))


def _table() -> str:
    """Return lines to write one number by two ways, and what they differ by."""
    top, columns = 134.0, (70.0, 107.0, 144.0)
    parts = [_words(2, top - 1.5, "one number, two ways (mm)", "start"), _words(columns[2] + 16, top - 1.5, "differ by")]  # fmt: skip
    for i, (say, one, other) in enumerate(ROWS):
        y = top + 3 + 12 * i
        parts.append(_words(2, y + 6.5, say, "start"))
        for x, label in zip(columns, (one, other, ""), strict=True):
            parts.append(
                f'<rect x="{x:g}" y="{y:g}" width="32" height="10" fill="none" stroke="black" stroke-width="0.3"/>'
            )
            parts.append(_words(x + 1, y + 3, label, "start", 2.8))
    return "".join(parts)
