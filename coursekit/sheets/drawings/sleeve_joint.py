"""The worksheet's field of the lesson on the sleeve joint: the student's joint cut open, at 2:1."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 196.0
SCALE = 2.0  # mm on paper for a mm of joint
MIDDLE, TOP = 54.0, 30.0  # where the axis and the top of tube and sleeve stand
_words = pen.words
_metal = partial(pen.box, width=0.3, places=3)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return tube and sleeve cut open at 2:1, as they stand dry, without the sizes asked for.

    The gap, a line's width at this scale, is left white.
    """
    svg = pen.field(WIDTH, HEIGHT, _walls(numbers), _told(numbers))
    return Drawing("The top of your seat tube, cut open", f"{SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _walls(numbers: Mapping[str, float]) -> str:
    """Return both walls of the seat tube and of the sleeve that stands round its top."""
    tube, wall = SCALE * numbers["seat_outside"] / 2, SCALE * numbers["wall"]
    lap, inner = SCALE * numbers["lap"], tube + SCALE * numbers["gap"]
    sleeve = SCALE * numbers["outside"] / 2 - inner
    parts = []
    for side in (-1, 1):
        left = MIDDLE + tube - wall if side > 0 else MIDDLE - tube
        over = MIDDLE + inner if side > 0 else MIDDLE - inner - sleeve
        parts.append(_metal(left, TOP, wall, HEIGHT - TOP - 30, fill="#bdbdbd"))
        parts.append(_metal(over, TOP, sleeve, lap, fill="#e8e8e8"))
    return "".join(parts) + pen.line(MIDDLE, 2, MIDDLE, HEIGHT - 24, 0.2, "8 2 1 2")


def _told(numbers: Mapping[str, float]) -> str:
    x = MIDDLE + SCALE * numbers["outside"] / 2 + 8
    top = 26.0
    said = (
        "1  Shade where silver must go.",
        "2  Draw the seat post and its play.",
        "3  Mark where you feed, and where you heat.",
        "4  Write the sizes into the boxes.",
    )
    parts = [pen.rows(x, top, said, 6)]
    for i, name in enumerate(("tube as measured", "bore to turn", "bore as turned", "gap a side")):
        y = top + 30 + 20 * i
        parts.append(_words(x, y, name, "start"))
        parts.append(pen.box(x, y + 2, 46, 12, places=3))
        parts.append(_words(x + 48, y + 10, "mm", "start", 4))
    return "".join(parts)
