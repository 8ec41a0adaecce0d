"""The worksheet's field of the lesson on tube choice: both tubes end on, the butted one along."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing

WIDTH, HEIGHT = 178.0, 176.0
ALONG, THICK = 5.0, 20.0  # mm of tube for a mm on paper; mm on paper for a mm of wall
START, FOOT = 8.0, 100.0  # where end a stands, where the outside of the tube lies
_line = partial(pen.line, places=3)
_words = pen.words


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the two plain tubes cut square at 1:1 and the butted tube's wall along its length.

    Lengths along are at 1 : 5, walls at 20 : 1. Boxes under the parts take the student's numbers.
    """
    svg = pen.field(WIDTH, HEIGHT, _rings(numbers), _profile(numbers), _boxes(numbers))
    return Drawing(
        "Your tubes",
        f"cut square 1 : 1; along the tube 1 : {ALONG:g}, wall {THICK:g} : 1",
        WIDTH,
        HEIGHT,
        svg,
    )


def pieces(numbers: Mapping[str, float]) -> tuple[float, ...]:
    """The lengths of butt, taper, belly, taper and butt, mm, from the shell end."""
    a, first, second, b = (numbers[n] for n in ("butt_a", "taper_a", "taper_b", "butt_b"))
    return a, first, numbers["length"] - a - first - second - b, second, b


def _rings(numbers: Mapping[str, float]) -> str:
    """Return both plain tubes at 1:1; the grey band is the metal."""
    parts = []
    for x, name in ((34.0, "diameter"), (104.0, "bigger")):
        radius = (numbers[name] - numbers["wall"]) / 2
        parts.append(
            f'<circle cx="{x:g}" cy="27" r="{radius:.3f}" fill="none" stroke="black" '
            f'stroke-width="{numbers["wall"]:g}"/>'
        )
        parts.append(_words(x, 28.2, f"{numbers[name]:g} × {numbers['wall']:g}"))
    parts.append(_words(132, 24, "Lay your offcut on them:", "start"))
    parts.append(_words(132, 29, "the print is true if it fits.", "start"))
    return "".join(parts)


def _profile(numbers: Mapping[str, float]) -> str:
    lengths, x = pieces(numbers), START
    end, belly = numbers["end_wall"] * THICK, numbers["belly_wall"] * THICK
    walls = (end, end, belly, belly, end, end)
    points, names = [(START, FOOT)], ("butt", "taper", "belly", "taper", "butt")
    parts = [_words(START, FOOT - end - 12, "shell end", "start")]
    for i, (length, name) in enumerate(zip(lengths, names, strict=True)):
        points.append((x, FOOT - walls[i]))
        after = x + length / ALONG
        points.append((after, FOOT - walls[i + 1]))
        parts.append(_line(x, FOOT + 1, x, FOOT - end - 2, 0.15))
        parts.append(_words((x + after) / 2, FOOT - end - 4, name, size=3.2))
        parts.append(_words((x + after) / 2, FOOT + 5, f"{length:g}", size=3.2))
        x = after
    parts.append(_line(x, FOOT + 1, x, FOOT - end - 2, 0.15))
    parts.append(_words(x, FOOT - end - 12, "head end", "end"))
    points.append((x, FOOT))
    outline = " ".join(f"{a:.3f},{b:.3f}" for a, b in points)
    shape = f'<polygon points="{outline}" fill="#d9d9d9" stroke="black" stroke-width="0.4"/>'
    return shape + "".join(parts)


def _boxes(numbers: Mapping[str, float]) -> str:
    """Return a box a piece for wall, area and mass, each as wide as a hand writes."""
    parts, top = [], FOOT + 14
    for row, name in enumerate(("mean wall, mm", "area, mm²", "mass, g")):
        y = top + 15 * row
        parts.append(_words(START + 24, y + 8, name, "end", 3.4))
        for column in range(5):
            x = START + 27 + 27.5 * column
            parts.append(pen.box(x, y, 25.5, 12))
    names = ("butt", "taper", "belly", "taper", "butt")
    parts += [_words(START + 39.75 + 27.5 * i, top - 2.5, n, size=3.2) for i, n in enumerate(names)]
    foot = top + 45 + 1
    parts.append(_words(START + 24, foot + 8, "together, g", "end", 3.4))
    parts.append(pen.box(START + 27, foot, 53, 12, 0.7))
    return "".join(parts)
