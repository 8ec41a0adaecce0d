"""Slider figure of the lesson on oval tubes."""

from __future__ import annotations

import numpy as np

from coursekit import ovals
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words
from coursekit.figures.oval_tubes import MODULUS, Squeeze, of

CLOSE = np.linspace(0.0, 8.0, 41)  # mm that the pads are closed
WIDTH, HEIGHT = 127.0, 104.0
MIDDLE, LEVEL, PER_MM = 64.0, 46.0, 1.9  # axis of the tube, drawing mm for a mm
SHOWN = 2.0  # wall as drawn, mm of tube, so that it can be seen


def squeeze() -> Slider:
    """Return the figure *distance between the pads → shape under load, and what is left of it*."""
    own = _own()
    first = float(ovals.round_springback(own.diameter, own.wall, own.yield_stress, MODULUS))
    pads = own.diameter - CLOSE
    return Slider(
        title="Press, and let go",
        label=f"Width between the pads, from {pads[0]:.1f} down to {pads[-1]:.1f} mm",
        alt=(
            f"A tube of {own.diameter:g} mm, end on, between two upright pads. As the pads close "
            "it becomes an upright oval, narrower and deeper. A dashed outline shows it after "
            f"letting go: for the first {first:.1f} mm it is round again as if nothing had "
            "happened; from there on it stays narrower, but always by about one "
            "millimetre less than it was pressed."
        ),
        caption=(
            f"Wall {own.wall:g} mm (drawn thicker), yield {own.yield_stress:g} MPa. Thick: under "
            "the pads. Dashed: after letting go."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=words(MIDDLE, 6, "depth, in the plane of the frame"),
        states=tuple(_state(float(p)) for p in pads),
        default=int(np.flatnonzero(np.isclose(pads, 24.0))[0]),
    )


def _own() -> Squeeze:
    return of(worked_frame.facts())


def left(pads: float) -> float:
    """Return the width after letting go, mm: the diameter again where all was elastic."""
    own = _own()
    back = ovals.springback(own.diameter, own.wall, pads, own.yield_stress, MODULUS)
    return min(pads + float(back), own.diameter)


def _outline(wide: float, deep: float) -> tuple[np.ndarray, np.ndarray]:
    turn = np.linspace(0, 2 * np.pi, 49)
    return MIDDLE + PER_MM * wide / 2 * np.cos(turn), LEVEL + PER_MM * deep / 2 * np.sin(turn)


def _state(pads: float) -> State:
    deep, wide = _own().depth(pads), left(pads)
    outer, inner = _outline(pads, deep), _outline(pads - 2 * SHOWN, deep - 2 * SHOWN)
    ring = np.concatenate([outer[0], inner[0][::-1]]), np.concatenate([outer[1], inner[1][::-1]])
    drawn = area(*ring, 0.25) + line(*outer, 1.0) + line(*inner, 0.6)
    drawn += line(*_outline(wide, _own().depth(wide)), 0.6, "2.5 1.5")
    for side in (-1, 1):
        at = MIDDLE + side * PER_MM * pads / 2
        far = at + side * 14
        drawn += area([at, far, far, at], [LEVEL - 15, LEVEL - 15, LEVEL + 15, LEVEL + 15], 0.4)
    drawn += words(MIDDLE, HEIGHT - 13, f"pads {pads:.1f} mm apart: {deep:.1f} deep")
    drawn += words(MIDDLE, HEIGHT - 5, f"let go: {wide:.1f} wide, {_own().depth(wide):.1f} deep")
    return State(
        f"pads at {pads:.1f} mm; let go: {wide:.1f} wide, {_own().depth(wide):.1f} deep", drawn
    )
