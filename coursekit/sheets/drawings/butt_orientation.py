"""The worksheet's field of the lesson on butt orientation: the student's tube as a strip, 1 : 5.

The tube as it comes stands on top with its walls. Below are bare strips of the same length for
the student's own marks, and a bare line for the second tube. Nothing but given numbers is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np

from coursekit.sheets import pen
from coursekit.sheets.drawing import Drawing
from coursekit.tubes import Butted

WIDTH, HEIGHT = 178.0, 186.0
SCALE = 5.0
THICK = 6.0  # mm on paper for a mm of wall, so 30 times too thick at this scale
HALF = 11.0  # half the drawn tube across, mm on paper
TUBE_Y, STRIPS, TALL = 34.0, (73.0, 110.0, 151.0), 15.0  # middle of the tube; upper edges of strips
_line = partial(pen.line, places=3)
_words = partial(pen.words, size=4.0, places=3)


def draw(numbers: Mapping[str, float]) -> Drawing:
    """Return the tube as it comes, its marks, and strips to mark needs and cuts on.

    `numbers` holds `tube_length`, both butts, both tapers and both walls, mm. The head end is to
    the right.

    Raises
    ------
    ValueError
        Where butts and tapers are longer than the tube, in the words of `Butted`.

    Examples
    --------
    >>> own = dict(tube_length=620, long_butt=130, long_taper=45, short_butt=60, short_taper=40,
    ...            butt_wall=0.9, belly_wall=0.6)
    >>> made = draw(own)
    >>> made.scale, made.width, made.height
    ('1 : 5, walls 30 times too thick', 178.0, 186.0)
    """
    own = tube(numbers)
    left = (WIDTH - own.length / SCALE) / 2
    parts = (
        _tube(own, left),
        *(_strip(own, left, y) for y in STRIPS[:2]),
        _second(own, left),
        _say(),
    )
    svg = pen.field(WIDTH, HEIGHT, *parts)
    say = f"1 : {SCALE:g}, walls {THICK * SCALE:g} times too thick"
    return Drawing("Your tube as it comes, and strips to mark", say, WIDTH, HEIGHT, svg)


def tube(numbers: Mapping[str, float]) -> Butted:
    """Return the student's tube, the short butt at end a."""
    short, long = numbers["short_butt"], numbers["long_butt"]
    tapers = numbers["short_taper"], numbers["long_taper"]
    belly = numbers["tube_length"] - short - long - sum(tapers)
    walls = numbers["butt_wall"], numbers["belly_wall"], numbers["butt_wall"]
    return Butted(2 * HALF * SCALE, walls, (short, tapers[0], belly, tapers[1], long))


def _tube(own: Butted, left: float) -> str:
    """Return the tube cut open along its length, with its five parts measured."""
    places = np.array([0.0, *own.marks, own.length])
    x = left + places / SCALE
    inner = HALF - THICK * np.asarray(own.wall_at(places))
    made = ""
    for side in (-1, 1):
        way = [*zip(x, TUBE_Y + side * inner, strict=True)]
        way += [(x[-1], TUBE_Y + side * HALF), (x[0], TUBE_Y + side * HALF)]
        points = " ".join(f"{a:.3f},{b:.3f}" for a, b in way)
        made += f'<polygon points="{points}" fill="#ccc" stroke="black" stroke-width="0.4"/>'
    for a, b, length, name in zip(x[:-1], x[1:], own.lengths, _NAMES, strict=True):
        made += _words((a + b) / 2, TUBE_Y - HALF - 5, f"{length:g}")
        below = 10.5 if name == "taper" else 6
        made += _words((a + b) / 2, TUBE_Y + HALF + below, name, size=3.8)
    made += "".join(_line(v, TUBE_Y - HALF - 4, v, TUBE_Y - HALF, 0.25) for v in x)
    made += _words(x[0], TUBE_Y - HALF - 12, "SHORT", "start", size=4.4)
    made += _words(x[-1], TUBE_Y - HALF - 12, "LONG", "end", size=4.4)
    return made + _line(x[0] - 4, TUBE_Y, x[-1] + 4, TUBE_Y, 0.2, "6 1.5 1 1.5")


_NAMES = ("short butt", "taper", "belly", "taper", "long butt")


def _strip(own: Butted, left: float, y: float) -> str:
    """Return a bare strip as long as the tube, its butts' ends dashed, and a rule in cm."""
    right = left + own.length / SCALE
    made = pen.box(left, y, right - left, TALL, 0.6, places=3)
    for place in (own.marks[0], own.marks[3]):
        at = left + place / SCALE
        made += _line(at, y, at, y + TALL, 0.3, "1.5 1.2")
    return made + _ticks(left, y + TALL, own.length)


def _ticks(left: float, y: float, length: float) -> str:
    """Return a tick every 10 mm of the tube, a longer one with its number every 100 mm."""
    made = ""
    for place in range(0, int(length) + 1, 10):
        tall = 2.6 if place % 100 == 0 else 1.8 if place % 50 == 0 else 1.1
        made += _line(left + place / SCALE, y, left + place / SCALE, y + tall, 0.2)
        if place % 100 == 0:
            made += _words(left + place / SCALE, y + 6, f"{place}", size=3.4)
    return made


def _second(own: Butted, left: float) -> str:
    """Return a bare rule for the second tube, as long as the paper allows."""
    y = STRIPS[2] + TALL
    long = 10 * int((WIDTH - left - 4) * SCALE // 10)
    return _line(left, y, left + long / SCALE, y, 0.6) + _ticks(left, y, long)


def _say() -> str:
    lines = (
        "1. Without the cable stop: mark the two cuts you choose, and from each cut the full wall "
        "its joint needs.",
        "2. With the cable stop: the same again, and the place of the stop. Dashed lines: here the "
        "butts stop.",
        "3. The second tube: draw it on this rule, its ends and both butts. Above it draw the "
        "finished length.",
        "One small division is 10 mm of tube, 2 mm on paper. SHORT is at the left, LONG at the "
        "right.",
    )
    places = (STRIPS[0] - 5.5, STRIPS[1] - 5.5, STRIPS[2] - 9.0, STRIPS[2] + 28.0)
    return "".join(
        _words(2, y, say, "start", size=3.8) for y, say in zip(places, lines, strict=True)
    )
