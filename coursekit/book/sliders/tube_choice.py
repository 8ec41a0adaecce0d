"""Slider figure of the lesson on tube choice."""

from __future__ import annotations

import numpy as np

from coursekit import tubes
from coursekit.book.slider import Slider, State, area, line, words

BASE = tubes.Round(25.4, 1.0)
DIAMETERS = np.arange(20.0, 44.01, 1.0)  # mm
WIDTH, HEIGHT = 127.0, 118.0
RING, SCALE = (34.0, 42.0), 1.3  # centre of the tube, drawing mm for each mm
BARS, FOOT, PER_TIMES = (82.0, 104.0), 92.0, 22.0  # places of the bars, drawing mm for a value of 1


def same_mass() -> Slider:
    """Return the figure *wider and thinner at the same mass → stiffness*."""
    return Slider(
        title="Wider and thinner, always the same mass",
        label="Outside diameter",
        alt=(
            "Left, a tube cut square, drawn 1.3 times its size: from 20 mm with a thick wall to "
            "44 mm with a wall like a tin's. Right, two bars: the mass, which stays as it is, "
            "and the bending stiffness, which grows from 0.5 to 3.2 times that of the tube of "
            "25.4 × 1.0 mm. The number of diameters to one wall grows from 15 to 80."
        ),
        caption=(
            "The same grams each metre as 25.4 × 1.0 mm, which counts as 1. What no bar shows: "
            "the thin one dents, and burns."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(float(d)) for d in DIAMETERS),
        default=int(np.flatnonzero(DIAMETERS == 32.0)[0]),
    )


def wall_for(diameter: float) -> float:
    """Return the wall, mm, that gives a tube of this diameter the mass of the first one."""
    return float((diameter - np.sqrt(diameter**2 - 4 * BASE.area / np.pi)) / 2)


def _still() -> str:
    level = FOOT - PER_TIMES
    return (
        line([70, 122], [FOOT, FOOT], 0.6)
        + line([70, 122], [level, level], 0.3, "2 1.5")
        + words(69, level + 1.5, "1", "end")
        + words(BARS[0], FOOT + 7, "mass")
        + words(BARS[1], FOOT + 7, "stiffness")
        + words(RING[0], FOOT + 7, "the tube")
    )


def _state(diameter: float) -> State:
    tube = tubes.Round(diameter, wall_for(diameter))
    times = float(tube.inertia / BASE.inertia)
    turn = np.linspace(0, 2 * np.pi, 61)
    rings = [
        (RING[0] + SCALE * r * np.cos(turn), RING[1] + SCALE * r * np.sin(turn))
        for r in (diameter / 2, tube.bore / 2)
    ]
    x = np.concatenate([rings[0][0], rings[1][0][::-1]])
    y = np.concatenate([rings[0][1], rings[1][1][::-1]])
    drawn = area(x, y, 0.45) + "".join(line(*ring, 0.5) for ring in rings)
    for at, value in zip(BARS, (1.0, times), strict=True):
        top = FOOT - PER_TIMES * value
        drawn += area([at - 8, at + 8, at + 8, at - 8], [FOOT, FOOT, top, top], 0.3)
        drawn += line([at - 8, at - 8, at + 8, at + 8], [FOOT, top, top, FOOT], 0.7)
        drawn += words(at, top - 2.5, f"{value:.2f}")
    said = (
        f"{diameter:g} mm: wall {tube.wall:.2f} mm, {times:.2f} times as stiff; "
        f"{diameter / tube.wall:.0f} walls to the diameter"
    )
    return State(said, drawn)
