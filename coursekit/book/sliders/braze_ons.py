"""Slider figure of the lesson on braze-ons."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from coursekit import braze_ons
from coursekit.book.slider import Slider, State, area, dot, line, words

BETWEEN = 60.0  # degrees between the tubes
LOW = braze_ons.Bottle(tube=31.8, stand=5.0, diameter=73.0, length=200.0, start=155.0)
HIGH = braze_ons.Bottle(tube=28.6, stand=5.0, diameter=73.0, length=200.0, start=195.0)
STARTS = tuple(155.0 + 2.0 * i for i in range(41))  # mm along the seat tube
WIDTH, HEIGHT = 127.0, 104.0
PER_MM = 0.22  # mm in the drawing for each mm of the frame
ORIGIN = (20.0, 92.0)  # place of the shell's axis in the drawing


def bottles() -> Slider:
    """Return the figure *where the seat tube's bottle begins → the gap between both bottles*."""
    return Slider(
        title="Slide the seat tube's bottle",
        label="Lower end of the seat tube's bottle, from the shell's axis",
        alt=(
            "Side view of the corner between seat tube and down tube with a bottle on each. The "
            "down tube's bottle stays. The other one slides up its tube. At 155 millimetres they "
            "overlap by 5 millimetres, at 162 they touch, and every further millimetre opens the "
            "gap by 0.87 millimetres: 29 millimetres at 195."
        ),
        caption=(
            "Tubes of 31.8 and 28.6 mm at 60°, bottles of 73 mm that stand 5 mm off their "
            "tubes. A dot marks the corner that comes nearest."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(start) for start in STARTS),
        default=STARTS.index(195.0),
    )


def _frame(side: str) -> tuple[np.ndarray, np.ndarray]:
    """Return the directions along the tube and square to it, toward the other tube."""
    turn = np.radians(BETWEEN)
    if side == "low":
        return np.array([1.0, 0.0]), np.array([0.0, 1.0])
    return np.array([np.cos(turn), np.sin(turn)]), np.array([np.sin(turn), -np.cos(turn)])


def _at(points: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    x, y = np.transpose(points)
    return ORIGIN[0] + PER_MM * x, ORIGIN[1] - PER_MM * y


def _box(side: str, start: float, end: float, near: float, far: float) -> list[np.ndarray]:
    along, out = _frame(side)
    places = ((start, near), (start, far), (end, far), (end, near), (start, near))
    return [x * along + y * out for x, y in places]


def _bottle(side: str, bottle: braze_ons.Bottle) -> str:
    ends = bottle.start, bottle.start + bottle.length
    box = _box(side, *ends, bottle.far_side - bottle.diameter, bottle.far_side)
    return area(*_at(box), 0.18) + line(*_at(box), 0.6)


def _still() -> str:
    drawn = ""
    for side, bottle, long in (("low", LOW, 400.0), ("high", HIGH, 400.0)):
        half = bottle.tube / 2
        box = _box(side, 0.0, long, -half, half)
        drawn += area(*_at(box), 0.3)
    x, y = ORIGIN
    shell = (
        f'<circle cx="{x:g}" cy="{y:g}" r="{19 * PER_MM:.2f}" fill="none" stroke="currentColor" '
        'stroke-width="0.8"/>'
    )
    return (
        drawn
        + shell
        + _bottle("low", LOW)
        + words(x + 78, y + 10, "down tube")
        + words(x + 22, y - 62, "seat tube", "end")
    )


def _state(start: float) -> State:
    high = replace(HIGH, start=start)
    gap = float(braze_ons.bottle_gap(BETWEEN, LOW, high))
    along, out = _frame("high")
    corner = start * along + high.far_side * out
    (x,), (y,) = _at([corner])
    way = ""
    if gap > 0:
        way = line(*_at([corner, np.array([corner[0], float(LOW.far_side)])]), 1.2)
    said = f"{gap:.1f} mm apart" if gap > 0 else f"they overlap by {-gap:.1f} mm"
    return State(f"{start:g} mm: {said}", _bottle("high", high) + way + dot(x, y, 1.4))
