"""The worksheet's field of the lesson on oval tubes: the joint seen along the cut tube, at 2:1."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 150.0
SCALE = 2.0  # mm on paper for a mm of tube
MIDDLE, LEVEL = 56.0, 70.0  # the cut tube's axis
TALL = 54.0  # half the height of the grid, mm on paper
_line = pen.line
_words = partial(pen.words, anchor="start", size=3.8)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the other tube, the round tube dashed, and a grid to draw the oval in; no answer."""
    svg = pen.field(WIDTH, HEIGHT, _grid(), _tubes(numbers), _told())
    say = "Your joint, seen along the tube that is cut"
    return Drawing(say, f"{SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _grid() -> str:
    """Return a line every mm of tube, bolder every five, from the axis outward."""
    half = round(TALL / SCALE)
    made = ""
    for k in range(-half, half + 1):
        width, ink = (0.25, "#707070") if k % 5 == 0 else (0.1, "#a0a0a0")
        x, y = MIDDLE + SCALE * k, LEVEL + SCALE * k
        made += _line(x, LEVEL - TALL, x, LEVEL + TALL, width, ink=ink)
        made += _line(MIDDLE - TALL, y, MIDDLE + TALL, y, width, ink=ink)
    return made


def _tubes(numbers: Mapping[str, float]) -> str:
    reach, radius = SCALE * numbers["into"] / 2, SCALE * numbers["diameter"] / 2
    made = "".join(
        _line(MIDDLE + s * reach, LEVEL - TALL, MIDDLE + s * reach, LEVEL + TALL, 0.7)
        for s in (-1, 1)
    )
    made += (
        f'<circle cx="{MIDDLE:g}" cy="{LEVEL:g}" r="{radius:.3f}" fill="none" stroke="black" '
        'stroke-width="0.5" stroke-dasharray="3 1.5"/>'
    )
    made += _line(MIDDLE - TALL, LEVEL, MIDDLE + TALL, LEVEL, 0.4)
    made += _line(MIDDLE, LEVEL - TALL, MIDDLE, LEVEL + TALL, 0.4)
    for y, say in (
        (LEVEL - TALL - 8, "in the plane of the frame"),
        (LEVEL + TALL + 6, "thick: the tube it is joined to; dashed: yours, round"),
        (LEVEL + TALL + 11, "grid: 1 mm of tube"),
    ):
        made += _words(MIDDLE, y, say, anchor="middle")
    return made


def _told() -> str:
    x, top = MIDDLE + TALL + 6, 16.0
    said = (
        "1  Mark both shoulders.",
        "2  Draw the oval in.",
        "3  Mark where the fillet",
        "    will stand.",
    )
    boxes = ("width wanted", "pads stop at", "width after letting go", "depth after letting go")
    made = pen.rows(x, top, said, 5.5, 3.8)
    for i, name in enumerate(boxes):
        y = top + 29 + 21 * i
        made += _words(x, y, name) + pen.box(x, y + 2, 44, 12)
        made += _words(x + 46, y + 10, "mm", size=4)
    return made
