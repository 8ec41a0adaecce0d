"""Slider figures of the lesson on heat and filler."""

from __future__ import annotations

import numpy as np

from coursekit import brazing
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words
from coursekit.materials import STEEL_4130

AIM = 930.0  # °C, both parts, when the heat is shared as it should be
SHARES = np.arange(50, 96)  # % of the heat that goes to the shell
WIDTH, HEIGHT = 127.0, 108.0
FOOT, PER_KELVIN, TOP = 96.0, 0.062, 1400.0
BARS = (("shell", 40.0), ("tube", 74.0))


def share() -> Slider:
    """Return the figure *where the flame points → how hot shell and tube get*."""
    low, high = brazing.filler("RBCuZn-C").working
    shell, tube = walls()
    return Slider(
        title="Where the flame points",
        label="Share of the heat that goes to the shell",
        alt=(
            f"Two bars, the temperatures of a shell of {shell:g} mm and of a tube of {tube:g} mm "
            f"after the same time. A band marks where brass brazes, {low:.0f} to {high:.0f} °C. "
            "With half of the heat on the shell, the shell stays near "
            f"{temperatures(50)[0]:.0f} °C and the tube would be far beyond the top of the scale. "
            "A little above three quarters both bars end in the band. Beyond it the shell gets "
            "too hot, and the tube stays cold."
        ),
        caption=(
            "After the same time, losses left out. A model: it says where the heat has to "
            "go, not how many seconds it takes."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(low, high),
        states=tuple(_state(int(s), low, high) for s in SHARES),
        default=int(np.flatnonzero(SHARES == 66)[0]),
    )


def temperatures(percent: float) -> tuple[float, float]:
    """Return how hot shell and tube get, °C, when `percent` of the heat goes to the shell."""
    part, right = percent / 100, float(brazing.heat_share(*walls(), STEEL_4130))
    return 20 + (AIM - 20) * part / right, 20 + (AIM - 20) * (1 - part) / (1 - right)


def walls() -> tuple[float, float]:
    """Return the walls of the worked frame's shell and of the seat tube on it, mm."""
    facts = worked_frame.facts()
    return facts["shell.wall_a"], facts["seat_tube.wall_a"]


def _level(celsius: float) -> float:
    return FOOT - PER_KELVIN * min(celsius, TOP)


def _still(low: float, high: float) -> str:
    band = area([24, 118, 118, 24], [_level(low)] * 2 + [_level(high)] * 2, 0.14)
    ticks = "".join(
        line([22, 24], [_level(t)] * 2, 0.4) + words(21, _level(t) + 1.5, f"{t}", "end")
        for t in range(0, 1401, 200)
    )
    names = "".join(words(x, FOOT + 7, name) for name, x in BARS)
    frame = line([24, 24, 118], [_level(TOP), FOOT, FOOT], 0.6)
    return band + ticks + names + frame + words(117, _level(high) - 2, "brass brazes", "end")


def _state(percent: int, low: float, high: float) -> State:
    drawn, said = "", []
    for (name, x), hot in zip(BARS, temperatures(percent), strict=True):
        top = _level(hot)
        drawn += area([x - 10, x + 10, x + 10, x - 10], [FOOT, FOOT, top, top], 0.35)
        drawn += line([x - 10, x - 10, x + 10, x + 10], [FOOT, top, top, FOOT], 0.8)
        verdict = "too cold" if hot < low else "too hot" if hot > high else "right"
        shown = f"{hot:.0f} °C" if hot <= TOP else f"over {TOP:.0f} °C"
        drawn += words(x, top - 2.5, shown)
        said.append(f"{name} {shown}, {verdict}")
    return State(f"{percent} % to the shell: " + "; ".join(said), drawn)
