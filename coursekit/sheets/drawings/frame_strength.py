"""The worksheet's field of the lesson on frame strength: the down tube, and a blank diagram."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.sheets.text import long_minus

WIDTH, HEIGHT = 178.0, 184.0
SCALE = 4.0  # mm of tube for a mm on paper
LEFT, TUBE, BASE = 10.0, 30.0, 130.0  # mm on paper: head tube's axis, tube, line of zero
DEEP = 42.0  # mm on paper, of the diagram, below its line of zero
_line = partial(pen.line, places=3)
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the down tube at 1:4, walls ten times too thick, over an empty diagram of its bending.

    Neither bending nor stress that is asked for is drawn.
    """
    svg = pen.field(WIDTH, HEIGHT, _tube(numbers), _diagram(numbers))
    say = "Your down tube, and its bending"
    return Drawing(say, f"1 : {SCALE:g} along the tube", WIDTH, HEIGHT, svg)


def _tube(numbers: Mapping[str, float]) -> str:
    run, shell = numbers["length"], ("shell_thin_from", "shell_thick_to")
    marks = (
        *(0.0, numbers["thick_to"], numbers["thin_from"]),
        *(run - numbers[place] for place in shell),
        run,
    )
    thick, belly = 10 * numbers["butt_wall"] / SCALE, 10 * numbers["belly_wall"] / SCALE
    half = numbers["down_diameter"] / SCALE * 1.4
    x = [LEFT + m / SCALE for m in marks]
    deep = (thick, thick, belly, belly, thick, thick)
    parts = []
    for side in (-1, 1):
        outer = [f"{at:.3f},{TUBE + side * half:.3f}" for at in x]
        inner = [f"{at:.3f},{TUBE + side * (half - d):.3f}" for at, d in zip(x, deep, strict=True)]
        way = " ".join([*outer, *reversed(inner)])
        look = 'fill="#d0d0d0" stroke="black" stroke-width="0.3"'
        parts.append(f'<polygon points="{way}" {look}/>')
    parts.append(_line(LEFT - 6, TUBE, x[-1] + 6, TUBE, 0.2, "8 2 1 2"))
    parts.append(_words(LEFT, TUBE - half - 4, "head tube", "start"))
    parts.append(_words(x[-1], TUBE - half - 4, "shell", "end"))
    for at in (x[0], x[2], x[5]):
        parts.append(_line(at, TUBE + half + 1, at, BASE + DEEP, 0.2, "1 1"))
    parts.append(_words(x[2] + 2, TUBE + half + 6, "thin from here", "start", 3.2))
    return "".join(parts)


def _diagram(numbers: Mapping[str, float]) -> str:
    end = LEFT + numbers["length"] / SCALE
    parts = [_line(LEFT, BASE, end + 4, BASE, 0.4)]
    for step in range(-4, 8):
        y = BASE - 10 * step
        if step:
            parts.append(_line(LEFT, y, end, y, 0.1))
        parts.append(_words(LEFT - 1.5, y + 1.2, long_minus(f"{20 * step:g}"), "end", 3.2))
    parts.append(_words(end + 2, BASE - 67, "N·m", "start", 3.2))
    said = (
        "Mark the bending at both ends, join them with a ruler, read it where the tube gets thin. "
        "Does your sum agree?"
    )
    return "".join(parts) + _words(LEFT, HEIGHT - 1, said, "start")
