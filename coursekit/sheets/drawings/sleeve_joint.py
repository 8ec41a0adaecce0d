"""The worksheet's field of the lesson on the sleeve joint: the student's joint cut open, at 2:1."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 196.0
SCALE = 2.0  # mm on paper for a mm of joint
MIDDLE, LEVEL = 54.0, 98.0  # where the axis and the meeting of both tubes stand
_words = pen.words
_metal = partial(pen.box, width=0.3, places=3)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return tubes and sleeve cut open at 2:1, as they stand dry, without the sizes asked for.

    The gap, a line's width at this scale, is left white.
    """
    svg = pen.field(WIDTH, HEIGHT, _walls(numbers), _told(numbers))
    return Drawing("Your joint, cut open", f"{SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _walls(numbers: Mapping[str, float]) -> str:
    """Return both walls of both tubes and of the sleeve, from the axis outward."""
    inner, wall = SCALE * numbers["bore"] / 2, SCALE * numbers["wall"]
    sleeve, lap = SCALE * numbers["sleeve_wall"], SCALE * numbers["lap"]
    outside = inner - SCALE * numbers["gap"]
    parts = []
    for side in (-1, 1):
        tube = MIDDLE + inner if side > 0 else MIDDLE - inner - wall
        plug = MIDDLE + outside - sleeve if side > 0 else MIDDLE - outside
        parts.append(_metal(tube, 4, wall, LEVEL - 4.5, fill="#bdbdbd"))
        parts.append(_metal(tube, LEVEL + 0.5, wall, LEVEL - 8, fill="#bdbdbd"))
        parts.append(_metal(plug, LEVEL - lap, sleeve, 2 * lap, fill="#e8e8e8"))
    return "".join(parts) + pen.line(MIDDLE, 2, MIDDLE, 2 * LEVEL - 6, 0.2, "8 2 1 2")


def _told(numbers: Mapping[str, float]) -> str:
    x = MIDDLE + SCALE * (numbers["bore"] / 2 + numbers["wall"]) + 8
    top = 26.0
    said = (
        "1  Shade where silver must go.",
        "2  Mark the vent hole.",
        "3  Mark where you feed, and where you heat.",
        "4  Write the sizes into the boxes.",
    )
    parts = [pen.rows(x, top, said, 6)]
    for i, name in enumerate(("bore as measured", "plug to turn", "plug as turned", "gap a side")):
        y = top + 30 + 20 * i
        parts.append(_words(x, y, name, "start"))
        parts.append(pen.box(x, y + 2, 46, 12, places=3))
        parts.append(_words(x + 48, y + 10, "mm", "start", 4))
    return "".join(parts)
