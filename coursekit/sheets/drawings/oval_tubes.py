"""The worksheet's field of the lesson on oval tubes: the student's joint seen along the cut tube, at 2:1."""

from __future__ import annotations

from collections.abc import Mapping

from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 150.0
SCALE = 2.0  # mm on paper for a mm of tube
MIDDLE, LEVEL = 56.0, 70.0  # the cut tube's axis
TALL = 54.0  # half the height of the grid, mm on paper
FONT = "Libertinus Serif"


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the other tube's outline, the round tube dashed, and a grid to draw the oval in; no answer is shown."""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'width="{WIDTH:g}mm" height="{HEIGHT:g}mm" font-family="{FONT}" fill="black">'
        f"{_grid()}{_tubes(numbers)}{_told()}</svg>"
    )
    return Drawing("Your joint, seen along the tube that is cut", f"{SCALE:g} : 1", WIDTH, HEIGHT, svg)  # fmt: skip


def _line(x1: float, y1: float, x2: float, y2: float, width: float, ink: str = "black") -> str:
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{ink}" '
        f'stroke-width="{width:g}"/>'
    )


def _words(x: float, y: float, text: str, anchor: str = "start", size: float = 3.8) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}">{text}</text>'
    )


def _grid() -> str:
    """Return a line every mm of tube, bolder every five, from the axis outward."""
    half = round(TALL / SCALE)
    made = ""
    for k in range(-half, half + 1):
        width, ink = (0.25, "#707070") if k % 5 == 0 else (0.1, "#a0a0a0")
        made += _line(MIDDLE + SCALE * k, LEVEL - TALL, MIDDLE + SCALE * k, LEVEL + TALL, width, ink)  # fmt: skip
        made += _line(MIDDLE - TALL, LEVEL + SCALE * k, MIDDLE + TALL, LEVEL + SCALE * k, width, ink)  # fmt: skip
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
    axis = _line(MIDDLE - TALL, LEVEL, MIDDLE + TALL, LEVEL, 0.4)
    axis += _line(MIDDLE, LEVEL - TALL, MIDDLE, LEVEL + TALL, 0.4)
    return (
        made
        + axis
        + _words(MIDDLE, LEVEL - TALL - 8, "in the plane of the frame", "middle")
        + _words(MIDDLE, LEVEL + TALL + 6, "thick: the tube it is joined to; dashed: yours, round", "middle")
        + _words(MIDDLE, LEVEL + TALL + 11, "grid: 1 mm of tube", "middle")
    )  # fmt: skip


def _told() -> str:
    x, top = MIDDLE + TALL + 6, 16.0
    said = (
        "1  Mark both shoulders.",
        "2  Draw the oval in.",
        "3  Mark where the fillet",
        "    will stand.",
    )
    made = "".join(_words(x, top + 5.5 * i, text) for i, text in enumerate(said))
    for i, name in enumerate(
        ("width wanted", "pads stop at", "width after letting go", "depth after letting go")
    ):
        y = top + 29 + 21 * i
        made += _words(x, y, name)
        made += f'<rect x="{x:.2f}" y="{y + 2:.2f}" width="44" height="12" fill="none" stroke="black" stroke-width="0.4"/>'
        made += _words(x + 46, y + 10, "mm", size=4)
    return made
