"""Slider figures of the lesson on braze-ons."""

from __future__ import annotations

from functools import cache

import numpy as np

from coursekit import braze_ons
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, dot, line, words
from coursekit.sheets import frame_facts

STARTS = tuple(155.0 + 2.0 * i for i in range(41))  # mm along the seat tube
WIDTH, HEIGHT = 127.0, 104.0
PER_MM = 0.22  # of the drawing, a mm of the frame
ORIGIN = (20.0, 92.0)  # of the shell's axis in the drawing


@cache
def between_deg() -> float:
    """Return the angle between the worked frame's seat tube and down tube, as it is given."""
    return frame_facts.given(worked_frame.facts(), "down_tube.seat_tube.angle_deg")


def bottle(on: str, start: float) -> braze_ons.Bottle:
    """Return the page's bottle on a tube of the worked frame."""
    tube = worked_frame.facts()[f"{on}.diameter"]
    return braze_ons.Bottle(tube, stand=5.0, diameter=73.0, length=200.0, start=start)


def bottles() -> Slider:
    """Return the figure *where the seat tube's bottle begins → the gap between both bottles*."""
    low, high = bottle("down_tube", 155.0), bottle("seat_tube", 195.0)
    return Slider(
        title="Slide the seat tube's bottle",
        label="Lower end of the seat tube's bottle, from the shell's axis",
        alt=(
            "Side view of the corner between seat tube and down tube with a bottle on each. The "
            "down tube's bottle stays. The other one slides up its tube. At 155 millimetres they "
            "overlap by 8 millimetres, at 165 they touch, and every further millimetre opens the "
            "gap by 0.86 millimetres: 25 millimetres at 195."
        ),
        caption=(
            f"Tubes of {low.tube:g} and {high.tube:g} mm at {between_deg():g}°, bottles of 73 mm "
            "that stand 5 mm off their tubes. A dot marks the corner that comes nearest."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(start) for start in STARTS),
        default=STARTS.index(195.0),
    )


def _frame(side: str) -> tuple[np.ndarray, np.ndarray]:
    """Return the ways along the tube and square to it, into the corner."""
    turn = np.radians(between_deg())
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


def _bottle(side: str, own: braze_ons.Bottle) -> str:
    ends = own.start, own.start + own.length
    box = _box(side, *ends, own.far_side - own.diameter, own.far_side)
    return area(*_at(box), 0.18) + line(*_at(box), 0.6)


def _still() -> str:
    drawn = ""
    low, high = bottle("down_tube", 155.0), bottle("seat_tube", 195.0)
    for side, own in (("low", low), ("high", high)):
        box = _box(side, 0.0, 400.0, -own.tube / 2, own.tube / 2)
        drawn += area(*_at(box), 0.3)
    x, y = ORIGIN
    half = worked_frame.facts()["shell.diameter"] / 2
    shell = (
        f'<circle cx="{x:g}" cy="{y:g}" r="{half * PER_MM:.2f}" fill="none" stroke="currentColor" '
        'stroke-width="0.8"/>'
    )
    return (
        drawn
        + shell
        + _bottle("low", low)
        + words(x + 78, y + 10, "down tube")
        + words(x + 22, y - 62, "seat tube", "end")
    )


def _state(start: float) -> State:
    low, high = bottle("down_tube", 155.0), bottle("seat_tube", start)
    gap = float(braze_ons.bottle_gap(between_deg(), low, high))
    along, out = _frame("high")
    corner = start * along + high.far_side * out
    (x,), (y,) = _at([corner])
    way = ""
    if gap > 0:
        way = line(*_at([corner, np.array([corner[0], float(low.far_side)])]), 1.2)
    said = f"{gap:.1f} mm apart" if gap > 0 else f"they overlap by {-gap:.1f} mm"
    return State(f"{start:g} mm: {said}", _bottle("high", high) + way + dot(x, y, 1.4))
