"""Slider figures of the lesson on the sleeve joint."""

from __future__ import annotations

import numpy as np

from coursekit import brazing
from coursekit.book import worked_frame
from coursekit.book.slider import Slider, State, area, line, words

_FACTS = worked_frame.facts()
GAP, LAP = round(_FACTS["sleeve.gap"], 3), _FACTS["sleeve.lap"]  # mm a side when straight, mm
LOW, HIGH = brazing.filler("BAg-7").clearance or (0.0, 0.0)  # mm a side, in which silver is drawn
LEANS = np.arange(-10, 11)  # tenths of the most it can lean
WIDTH, HEIGHT = 127.0, 112.0
LEFT, RIGHT, FOOT, TALL, SHOWN = 44.0, 83.0, 92.0, 72.0, 60.0
THICK = 7.0  # of the sleeve's wall as drawn


def lean() -> Slider:
    """Return the figure *how far the plug leans → the gap on both sides, and where silver goes*."""
    return Slider(
        title="A sleeve that leans",
        label="Lean of the sleeve, from its most to the left to its most to the right",
        alt=(
            f"A sleeve over the top of its tube, cut open, the gap of {GAP:g} mm a side drawn "
            "sixty times too wide. When it stands straight the gap is the same all over and silver "
            "is drawn in everywhere. When it leans, each gap becomes a wedge: zero on one side at "
            "the top and the double on the other, the other way round at the bottom. Thick bars "
            "beside the sleeve mark where silver is drawn in; they get shorter the more it leans."
        ),
        caption=(
            f"Lap {LAP:g} mm, {GAP:g} mm a side. Thick bars: between {LOW:.2f} and "
            f"{HIGH:.2f} mm, the published gap for silver with flux."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(int(t)) for t in LEANS),
        default=int(np.flatnonzero(LEANS == 6)[0]),
    )


def gaps(tenths: float, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the gaps on the left and on the right, mm, at heights from 0 to 1 of the lap."""
    moved = GAP * tenths / 10 * (2 * height - 1)  # to the right at the top for a positive lean
    return GAP - moved, GAP + moved


def _still() -> str:
    high, low = FOOT - TALL, FOOT + 8
    body = area([LEFT, RIGHT, RIGHT, LEFT], [high, high, low, low], 0.3)
    for x in (LEFT, RIGHT):
        body += line([x, x], [high, low], 0.6)
    body += line([LEFT, RIGHT], [high, high], 0.6)
    middle = (LEFT + RIGHT) / 2
    return body + words(middle, FOOT + 16, "sleeve, tube, sleeve") + words(middle, 7, "top")


def _state(tenths: int) -> State:
    height = np.linspace(0, 1, 41)
    left, right = gaps(tenths, height)
    y = FOOT - TALL * height
    drawn = ""
    for inner, out in ((LEFT - SHOWN * left, -THICK), (RIGHT + SHOWN * right, THICK)):
        x, outline = np.concatenate([inner, inner[::-1] + out]), np.concatenate([y, y[::-1]])
        drawn += area(x, outline, 0.14) + line([*x, x[0]], [*outline, outline[0]], 0.9)
    fine = np.concatenate(gaps(tenths, np.linspace(0, 1, 2001)))
    share = np.mean((fine >= LOW - 1e-12) & (fine <= HIGH + 1e-12))
    for gap, at in ((left, LEFT - 24.0), (right, RIGHT + 24.0)):
        good = (gap >= LOW - 1e-12) & (gap <= HIGH + 1e-12)
        if good.any():
            drawn += line([at, at], [y[good].max(), y[good].min()], 3.0)
    top, foot = (left[-1], right[-1]), (left[0], right[0])
    drawn += words(LEFT - 27, FOOT - TALL, f"{top[0]:.2f}", "end") + words(
        RIGHT + 27, FOOT - TALL, f"{top[1]:.2f}", "start"
    )
    drawn += words(LEFT - 27, FOOT, f"{foot[0]:.2f}", "end") + words(
        RIGHT + 27, FOOT, f"{foot[1]:.2f}", "start"
    )
    side = "right" if tenths > 0 else "left"
    said = f"{abs(tenths)} tenths to the {side}" if tenths else "straight"
    return State(f"{said}: silver is drawn in on {share:.0%} of both sides", drawn)
