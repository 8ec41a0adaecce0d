"""Slider figures of the lesson on the sleeve joint."""

from __future__ import annotations

import numpy as np

from coursekit import brazing
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words

LOW, HIGH = brazing.filler("BAg-7").clearance or (0.0, 0.0)  # mm a side, in which silver is drawn
LEANS = np.arange(-10, 11)  # tenths of the most it can lean
WIDTH, HEIGHT = 127.0, 112.0
LEFT, RIGHT, FOOT, TALL, SHOWN = 38.0, 88.0, 92.0, 72.0, 48.0


def lean() -> Slider:
    """Return the figure *how far the plug leans → the gap on both sides, and where silver goes*."""
    known = worked_frame.facts()
    return Slider(
        title="A sleeve that leans",
        label="Lean of the tube in its sleeve, from its most to the left to its most to the right",
        alt=(
            f"A tube in its sleeve, cut open, the gap of {gap():g} mm a side drawn far too "
            "wide. When it stands straight the gap is the same all over and silver is drawn in "
            "everywhere. When one leans, each gap becomes a wedge: nothing on one side at the top "
            "and the double on the other, the other way round at the bottom. Thick bars beside "
            "the tube mark where silver is drawn in; they get shorter the more it leans."
        ),
        caption=(
            f"Lap {known['sleeve.lap']:g} mm, {gap():g} mm a side. Thick bars: between "
            f"{LOW:.2f} and {HIGH:.2f} mm, the published gap for silver with flux."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(int(t)) for t in LEANS),
        default=int(np.flatnonzero(LEANS == 6)[0]),
    )


def gap() -> float:
    """Return the gap a side of the sleeve of the frame that the lessons work through, mm."""
    return round(worked_frame.facts()["sleeve.gap"], 3)


def gaps(tenths: float, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the gaps on the left and on the right, mm, at heights from 0 to 1 of the lap."""
    moved = gap() * tenths / 10 * (2 * height - 1)  # to the right at the top for a positive lean
    return gap() + moved, gap() - moved


def _still() -> str:
    walls = ""
    for x in (LEFT - 8, RIGHT):
        walls += area(
            [x, x + 8, x + 8, x], [FOOT - TALL - 8, FOOT - TALL - 8, FOOT + 6, FOOT + 6], 0.3
        )
        walls += line([x, x], [FOOT - TALL - 8, FOOT + 6], 0.6)
        walls += line([x + 8, x + 8], [FOOT - TALL - 8, FOOT + 6], 0.6)
    middle = (LEFT + RIGHT) / 2
    return walls + words(middle, FOOT + 14, "sleeve, tube, sleeve") + words(middle, 7, "top")


def _state(tenths: int) -> State:
    height = np.linspace(0, 1, 41)
    left, right = gaps(tenths, height)
    y = FOOT - TALL * height
    x_left, x_right = LEFT + SHOWN * left, RIGHT - SHOWN * right
    x, outline = np.concatenate([x_left, x_right[::-1]]), np.concatenate([y, y[::-1]])
    drawn = area(x, outline, 0.14) + line([*x, x[0]], [*outline, outline[0]], 0.9)
    fine = np.concatenate(gaps(tenths, np.linspace(0, 1, 2001)))
    share = np.mean((fine >= LOW - 1e-12) & (fine <= HIGH + 1e-12))
    for width, at in ((left, LEFT - 14.0), (right, RIGHT + 14.0)):
        good = (width >= LOW - 1e-12) & (width <= HIGH + 1e-12)
        if good.any():
            drawn += line([at, at], [y[good].max(), y[good].min()], 3.0)
    top, foot = (left[-1], right[-1]), (left[0], right[0])
    drawn += words(LEFT - 20, FOOT - TALL, f"{top[0]:.2f}", "end") + words(
        RIGHT + 20, FOOT - TALL, f"{top[1]:.2f}", "start"
    )
    drawn += words(LEFT - 20, FOOT, f"{foot[0]:.2f}", "end") + words(
        RIGHT + 20, FOOT, f"{foot[1]:.2f}", "start"
    )
    side = "right" if tenths > 0 else "left"
    said = f"{abs(tenths)} tenths to the {side}" if tenths else "straight"
    return State(f"{said}: silver is drawn in on {share:.0%} of both sides", drawn)
