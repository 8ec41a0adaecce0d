"""The worksheet's field of the lesson on the bottom-bracket shell: a strip to wrap, 1:1."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from math import pi

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 150.0
LEFT, TOP = 10.0, 12.0  # where the strip begins
ZERO = 40.0  # the seat tube's line, mm round from the strip's edge
_line = partial(pen.line, places=3)
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the shell's outside unrolled at 1:1: its middle line, seat tube's line, a scale round.

    Seen from outside with the drive side below, forward is to the right. The second line, its hole
    and the lands are the student's to draw.
    """
    svg = pen.field(WIDTH, HEIGHT, _strip(numbers), _told(numbers["faced"]))
    return Drawing("Your shell, unrolled", "1 : 1", WIDTH, HEIGHT, svg)


def _strip(numbers: Mapping[str, float]) -> str:
    around, width = pi * numbers["shell"], numbers["faced"]
    middle = TOP + width / 2
    parts = [
        pen.box(LEFT, TOP, around, width, places=3),
        _line(LEFT - 4, middle, LEFT + around + 4, middle, 0.25, "8 2 1 2"),
        _line(LEFT + ZERO, TOP - 3, LEFT + ZERO, TOP + width + 3, 0.4),
        _words(LEFT + ZERO, TOP - 5, "middle of the seat tube"),
    ]
    for mm in range(0, int(around) + 1):
        tall = 4.0 if mm % 10 == 0 else 2.6 if mm % 5 == 0 else 1.6
        x = LEFT + mm
        parts.append(_line(x, TOP + width, x, TOP + width - tall, 0.15))
        if mm % 10 == 0:
            parts.append(_words(x, TOP + width + 7, long_minus(f"{mm - ZERO:g}"), size=3.2))
    parts.append(_words(LEFT + around + 2, TOP + width + 7, "mm", "start", 3.2))
    side = LEFT + around + 6
    parts.append(_words(side, TOP + 5, "non-drive side", "start"))
    parts.append(_words(side, TOP + width - 2, "drive side", "start"))
    return "".join(parts)


def _told(width: float) -> str:
    y = TOP + width + 18
    said = (
        "1  Draw the middle line of the down tube, so far round as you worked out, to the right.",
        "2  Draw both holes on the dash-dot line, and the bore of the seat tube as far as it "
        "reaches along the shell.",
        "3  Cut out along the frame, wrap it with print outward: the edges must meet. Prick the "
        "middles through.",
        "4  Before the flame, somebody else looks through each hole and signs:",
    )
    parts = [pen.rows(LEFT, y, said, 6.5)]
    for i, name in enumerate(("seat tube", "down tube", "left stay", "right stay")):
        x = LEFT + 42 * i
        parts.append(_words(x, y + 31, name, "start"))
        parts.append(pen.box(x, y + 33, 38, 12))
    return "".join(parts)
