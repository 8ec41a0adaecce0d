"""Slider figure of the lesson on butt finding."""

from __future__ import annotations

import numpy as np

from coursekit.book.slider import Slider, State, area, dot, line, words
from coursekit.figures.butt_finding import PLACES, WALLS, bent, levels, total

STOPS = np.arange(99, 144)  # mm, tried for the butt's end
BEGINS = 161.0  # mm, where the belly begins meanwhile
WIDTH, HEIGHT = 127.0, 96.0
LEFT, FOOT, FIRST = 14.0, 84.0, 50.0  # where `FIRST` mm and a wall of 0.55 mm are drawn
ALONG, UP = 0.44, 190.0  # drawing mm for a mm of tube, of wall
BAR, TALL = 106.0, 62.0  # place of the bar; its length at 0.03 mm²
MOST = 0.03


def bend() -> Slider:
    """Return the figure *where the butt stops → three lines, the misses' squares, their sum*."""
    return Slider(
        title="Where does the butt stop?",
        label="Where the butt stops, from 99 to 143 mm",
        alt=(
            "Eighteen readings of a wall over the place, and the three lines through them: flat, "
            "slope, flat. The slider moves the upper bend. At each reading beside the lines "
            "stands a square as wide as its miss is long. A bar on the right is as tall as all "
            "squares together. It is shortest at 119 mm; at 109 and 129 mm it is "
            f"{total(109, BEGINS) / total(119, BEGINS):.0f} and "
            f"{total(129, BEGINS) / total(119, BEGINS):.0f} times as tall."
        ),
        caption=f"The belly begins at {BEGINS:g} mm throughout. The bar: the sum of all squares.",
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(float(s)) for s in STOPS),
        default=int(np.flatnonzero(STOPS == 107)[0]),
    )


def _x(place: float) -> float:
    return LEFT + ALONG * (place - FIRST)


def _y(wall: float) -> float:
    return FOOT - UP * (wall - 0.55)


def _still() -> str:
    drawn = line([LEFT, LEFT, _x(240)], [10, FOOT, FOOT], 0.4)
    for place in (50, 100, 150, 200):
        drawn += words(_x(place), FOOT + 6, f"{place}")
    for wall in (0.6, 0.7, 0.8, 0.9):
        drawn += line([LEFT - 1.5, LEFT], [_y(wall)] * 2, 0.4)
        drawn += words(LEFT - 2.5, _y(wall) + 1.5, f"{wall:g}", "end")
    drawn += words(_x(145), FOOT + 11, "from end a, mm") + words(LEFT, 7, "wall, mm")
    return (
        drawn + line([BAR - 4, BAR + 12], [FOOT, FOOT], 0.4) + words(BAR + 4, FOOT + 6, "squares")
    )


def _state(stops: float) -> State:
    butt, belly = levels()
    x = [FIRST, stops, BEGINS, 235.0]
    drawn = line([_x(v) for v in x], [_y(w) for w in (butt, butt, belly, belly)], 0.8)
    fitted = bent(PLACES, stops, BEGINS, butt, belly)
    for place, wall, on in zip(PLACES, WALLS, fitted, strict=True):
        a, b = _y(float(wall)), _y(float(on))
        side = abs(b - a)
        if side > 0.8:
            left = _x(place) - side if wall < on else _x(place)
            drawn += area([left, left + side, left + side, left], [a, a, b, b], 0.2)
        drawn += dot(_x(place), a, 0.9)
    tall = TALL * total(stops, BEGINS) / MOST
    drawn += area([BAR, BAR + 8, BAR + 8, BAR], [FOOT, FOOT, FOOT - tall, FOOT - tall], 0.6)
    squares = 1000 * total(stops, BEGINS)
    drawn += words(BAR + 4, FOOT - tall - 2, f"{squares:.1f}")
    return State(f"{stops:.0f} mm: squares {squares:.1f} thousandths of a mm²", drawn)
