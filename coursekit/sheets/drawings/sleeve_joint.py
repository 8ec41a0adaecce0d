"""The worksheet's field of the lesson on the sleeve joint: the student's joint cut open, at 2:1."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 196.0
SCALE = 2.0  # mm on paper for a mm of joint
MIDDLE, LEVEL = 54.0, 44.0  # where the axis and the tube's top stand
FOOT, ABOVE = 188.0, 34.0  # where the tube is broken off; how far the post is drawn above the top
_words = pen.words
_metal = partial(pen.box, width=0.3, places=3)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return tube, sleeve and post cut open at 2:1, as they stand dry, without the sizes asked for.

    The gap, a line's width at this scale, is left white; the post is dashed.
    """
    svg = pen.field(WIDTH, HEIGHT, _walls(numbers), _told(numbers))
    return Drawing("Your joint, cut open", f"{SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _walls(numbers: Mapping[str, float]) -> str:
    """Return both walls of the tube and of the sleeve, and the post's two sides."""
    tube, wall = SCALE * numbers["tube"] / 2, SCALE * numbers["wall"]
    bore, lap = tube + SCALE * numbers["gap"], SCALE * numbers["lap"]
    sleeve, post = SCALE * numbers["outside"] / 2 - bore, SCALE * numbers["post"] / 2
    parts = []
    for side in (-1, 1):
        inside = MIDDLE + tube - wall if side > 0 else MIDDLE - tube
        around = MIDDLE + bore if side > 0 else MIDDLE - bore - sleeve
        parts.append(_metal(inside, LEVEL, wall, FOOT - LEVEL, fill="#bdbdbd"))
        parts.append(_metal(around, LEVEL, sleeve, lap, fill="#e8e8e8"))
        at = MIDDLE + side * post
        parts.append(pen.line(at, LEVEL - ABOVE, at, FOOT - 20, 0.2, "3 2"))
    parts.append(pen.line(MIDDLE - post, LEVEL - ABOVE, MIDDLE + post, LEVEL - ABOVE, 0.2, "3 2"))
    parts.append(_words(MIDDLE + 3, LEVEL - ABOVE + 8, "post", "start"))
    return "".join(parts) + pen.line(MIDDLE, 2, MIDDLE, FOOT + 6, 0.2, "8 2 1 2")


def _told(numbers: Mapping[str, float]) -> str:
    x = MIDDLE + SCALE * numbers["outside"] / 2 + 8
    top = 20.0
    said = (
        "1  Shade where silver must go.",
        "2  Mark where the tube is open below.",
        "3  Mark where you feed, and where you heat.",
        "4  Write the sizes into the boxes.",
    )
    parts = [pen.rows(x, top, said, 6)]
    names = (
        "tube as measured",
        "bore to turn",
        "bore as turned",
        "gap a side",
        "post's bore, reamed",
    )
    for i, name in enumerate(names):
        y = top + 30 + 20 * i
        parts.append(_words(x, y, name, "start"))
        parts.append(pen.box(x, y + 2, 46, 12, places=3))
        parts.append(_words(x + 48, y + 10, "mm", "start", 4))
    return "".join(parts)
