"""The worksheet's field of the lesson on the sleeve joint: the student's own joint cut open, at 2:1."""

from __future__ import annotations

from collections.abc import Mapping

from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 196.0
SCALE = 2.0  # mm on paper for a mm of joint
MIDDLE, LEVEL = 54.0, 98.0  # where the axis and the meeting of both tubes stand
FONT = "Libertinus Serif"


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return tubes and sleeve cut open at 2:1, as they stand dry; no size that is asked for is written.

    The gap, a line's width at this scale, is left white.
    """
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'width="{WIDTH:g}mm" height="{HEIGHT:g}mm" font-family="{FONT}" fill="black">'
        f"{_walls(numbers)}{_told(numbers)}</svg>"
    )
    return Drawing("Your joint, cut open", f"{SCALE:g} : 1", WIDTH, HEIGHT, svg)


def _words(x: float, y: float, text: str, anchor: str = "middle", size: float = 3.6) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}">{text}</text>'
    )


def _rect(x: float, y: float, width: float, height: float, fill: str, stroke: float = 0.3) -> str:
    return (
        f'<rect x="{x:.3f}" y="{y:.3f}" width="{width:.3f}" height="{height:.3f}" fill="{fill}" '
        f'stroke="black" stroke-width="{stroke:g}"/>'
    )


def _walls(numbers: Mapping[str, float]) -> str:
    """Return both walls of both tubes and of the sleeve, from the axis outward."""
    inner, wall = SCALE * numbers["bore"] / 2, SCALE * numbers["wall"]
    sleeve, lap = SCALE * numbers["sleeve_wall"], SCALE * numbers["lap"]
    outside = inner - SCALE * numbers["gap"]
    parts = []
    for side in (-1, 1):
        tube = MIDDLE + inner if side > 0 else MIDDLE - inner - wall
        plug = MIDDLE + outside - sleeve if side > 0 else MIDDLE - outside
        parts.append(_rect(tube, 4, wall, LEVEL - 4.5, "#bdbdbd"))
        parts.append(_rect(tube, LEVEL + 0.5, wall, LEVEL - 8, "#bdbdbd"))
        parts.append(_rect(plug, LEVEL - lap, sleeve, 2 * lap, "#e8e8e8"))
    axis = (
        f'<line x1="{MIDDLE:g}" y1="2" x2="{MIDDLE:g}" y2="{2 * LEVEL - 6:g}" stroke="black" '
        'stroke-width="0.2" stroke-dasharray="8 2 1 2"/>'
    )
    return "".join(parts) + axis


def _told(numbers: Mapping[str, float]) -> str:
    x = MIDDLE + SCALE * (numbers["bore"] / 2 + numbers["wall"]) + 8
    top = 26.0
    said = [
        "1  Shade where silver must go.",
        "2  Mark the vent hole.",
        "3  Mark where you feed, and where you heat.",
        "4  Write the sizes into the boxes.",
    ]
    parts = [_words(x, top + 6 * i, text, "start") for i, text in enumerate(said)]
    for i, name in enumerate(("bore as measured", "plug to turn", "plug as turned", "gap a side")):
        y = top + 30 + 20 * i
        parts.append(_words(x, y, name, "start"))
        parts.append(_rect(x, y + 2, 46, 12, "none", 0.4))
        parts.append(_words(x + 48, y + 10, "mm", "start", 4))
    return "".join(parts)
