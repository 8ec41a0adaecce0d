"""The worksheet's field of the lesson on shop maths: a rule at 1:1, and an angle to set out."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit import units
from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 198.0
RULE = (14.0, 24.0)  # where 0 of both scales stands
REACH = 2.5  # inches of rule
FIELD, SCALE = (40.0, 190.0), 10.0  # where the base starts, mm of the drawing for a mm on paper
BASE, TALL = 300.0, 1240.0  # mm of the drawing
_line = partial(pen.line, places=3)
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return a rule with inches above and millimetres below at 1:1, and a base of 300 mm at 1 : 10.

    `numbers` holds `found`, mm: an arrow stands there on the millimetre side. The angle is the
    student's to draw.
    """
    parts = (_rule(), _arrow(numbers["found"]), _base(), _rises())
    svg = pen.field(WIDTH, HEIGHT, *parts)
    return Drawing(
        "A rule, and your seat line",
        f"rule 1 : 1; seat line 1 : {SCALE:g}",
        WIDTH,
        HEIGHT,
        svg,
    )


def _rule() -> str:
    """Return both scales, each with its divisions; a long division every inch and every 10 mm."""
    x, y = RULE
    end = units.INCH * REACH
    body = _line(x, y, x + end, y, 0.3) + _words(x - 3, y - 3, "in", "end")
    parts = [body, _words(x - 3, y + 7, "mm", "end")]
    for count in range(int(16 * REACH) + 1):
        tall = 8.0 if count % 16 == 0 else 6.0 if count % 8 == 0 else 4.5 if count % 4 == 0 else 3.0
        at = x + units.INCH * count / 16
        parts.append(_line(at, y, at, y - tall))
    for whole in range(int(REACH) + 1):
        parts.append(_words(x + units.INCH * whole, y - 9.5, f"{whole}"))
    for count in range(int(end) + 1):
        tall = 8.0 if count % 10 == 0 else 5.5 if count % 5 == 0 else 3.5
        parts.append(_line(x + count, y, x + count, y + tall))
        if count % 10 == 0:
            parts.append(_words(x + count, y + 12, f"{count}"))
    return "".join(parts)


def _arrow(found: float) -> str:
    x, y = RULE
    at = x + found
    head = f'<path d="M{at:.3f} {y - 13:.3f}l-1.4 -4h2.8z" fill="black"/>'
    said = (
        "The arrow is your scrap tube.",
        "Small strokes above: 1/16 in.",
        "Four sixty-fourths make one.",
    )
    beside = pen.rows(x + units.INCH * REACH + 6, y - 8, said, 5)
    return head + _line(at, y - 13, at, y + 3, 0.15) + beside


def _base() -> str:
    x, y = FIELD
    end = x + BASE / SCALE
    steps = (
        "1  Mark your rise on the scale.",
        "2  Draw the seat line from the dot.",
        "3  Lay the protractor on the base.",
    )
    return (
        _line(x, y, end, y, 0.5)
        + _line(end, y, end, y - TALL / SCALE, 0.3)
        + _words((x + end) / 2, y + 6, "base 300 mm")
        + f'<circle cx="{x:g}" cy="{y:g}" r="0.8" fill="black"/>'
        + _words(x - 3, y + 1, "start here", "end")
        + pen.rows(end + 34, y - 122, steps, 6)
        + _words(end + 34, y - 98, "protractor reads", "start")
        + pen.box(end + 34, y - 94, 34, 12)
        + _words(end + 70, y - 86, "°", "start", 5)
        + _words(end + 34, y - 72, "off from your own angle by", "start")
        + pen.box(end + 34, y - 68, 34, 12)
        + _words(end + 70, y - 60, "°", "start", 5)
    )


def _rises() -> str:
    """Return the scale of rises beside the upright line, a stroke every 20 mm."""
    x, y = FIELD[0] + BASE / SCALE, FIELD[1]
    parts = []
    for rise in range(0, int(TALL) + 1, 20):
        tall = 5.0 if rise % 100 == 0 else 2.5
        parts.append(_line(x, y - rise / SCALE, x + tall, y - rise / SCALE))
        if rise % 100 == 0:
            parts.append(_words(x + 7, y - rise / SCALE + 1.2, f"{rise}", "start"))
    return "".join(parts)
