"""Slider figure of the lesson on oval tubes."""

from __future__ import annotations

import numpy as np

from coursekit import ovals
from coursekit.book.slider import Slider, State, area, line, words
from coursekit.figures.oval_tubes import DIAMETER, MODULUS, WALL, YIELD

PADS = np.linspace(28.6, 20.6, 41)  # mm between the pads
WIDTH, HEIGHT = 127.0, 104.0
MIDDLE, LEVEL, PER_MM = 64.0, 46.0, 1.9  # place of the tube's axis, drawing mm for each mm
SHOWN = 2.0  # mm of tube, the wall as it is drawn, thicker so that it can be seen


def squeeze() -> Slider:
    """Return the figure *distance between the pads → shape under load and after letting go*."""
    return Slider(
        title="Press, and let go",
        label="Width between the pads, from 28.6 down to 20.6 mm",
        alt=(
            "A tube of 28.6 mm, end on, between two upright pads. As the pads close it becomes "
            "an upright oval, narrower and deeper. A dashed outline shows it after letting go: "
            "for the first 0.9 mm it is round again as if nothing had happened; from there on it "
            "stays narrower, but always by about one millimetre less than it was pressed."
        ),
        caption=(
            f"Wall {WALL:g} mm (drawn thicker), yield {YIELD:g} MPa. Thick: under the pads. "
            "Dashed: after letting go."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=words(MIDDLE, 6, "depth, in the plane of the frame"),
        states=tuple(_state(float(p)) for p in PADS),
        default=int(np.flatnonzero(np.isclose(PADS, 24.0))[0]),
    )


def left(pads: float) -> float:
    """Return the width after letting go, mm, which is the diameter if nothing has yielded."""
    back = float(ovals.springback(DIAMETER, WALL, pads, YIELD, MODULUS))
    return min(pads + back, DIAMETER)


def _outline(wide: float, deep: float) -> tuple[np.ndarray, np.ndarray]:
    turn = np.linspace(0, 2 * np.pi, 49)
    return MIDDLE + PER_MM * wide / 2 * np.cos(turn), LEVEL + PER_MM * deep / 2 * np.sin(turn)


def _depth(wide: float) -> float:
    return float(ovals.depth_for(DIAMETER, WALL, wide))


def _state(pads: float) -> State:
    deep, wide = _depth(pads), left(pads)
    outer, inner = _outline(pads, deep), _outline(pads - 2 * SHOWN, deep - 2 * SHOWN)
    ring = np.concatenate([outer[0], inner[0][::-1]]), np.concatenate([outer[1], inner[1][::-1]])
    drawn = area(*ring, 0.25) + line(*outer, 1.0) + line(*inner, 0.6)
    drawn += line(*_outline(wide, _depth(wide)), 0.6, "2.5 1.5")
    for side in (-1, 1):
        at = MIDDLE + side * PER_MM * pads / 2
        far = at + side * 14
        drawn += area([at, far, far, at], [LEVEL - 15, LEVEL - 15, LEVEL + 15, LEVEL + 15], 0.4)
    drawn += words(MIDDLE, HEIGHT - 13, f"pads {pads:.1f} mm apart: {deep:.1f} deep")
    drawn += words(MIDDLE, HEIGHT - 5, f"let go: {wide:.1f} wide, {_depth(wide):.1f} deep")
    return State(f"pads at {pads:.1f} mm; let go: {wide:.1f} wide, {_depth(wide):.1f} deep", drawn)
