"""Slider figure of the lesson on the strength of a frame."""

from __future__ import annotations

import numpy as np

from coursekit import tubes
from coursekit.book.slider import Slider, State, line, words
from coursekit.figures import _loaded

BUTTS = np.arange(30, 181, 5)  # mm of full wall from the head tube's axis
SHELL, TAPER = 76.0, 40.0  # mm of full wall from the shell's axis, and length of a taper, mm
WIDTH, HEIGHT = 127.0, 100.0
# place of the origin, and mm in the drawing for each mm of tube and for each MPa
LEFT, FOOT, ALONG, UP = 22.0, 80.0, 0.155, 0.33


def butt() -> Slider:
    """Return the figure *length of the butt at the head tube → highest stress, and where it is*."""
    return Slider(
        title="How long must the butt be?",
        label="Full wall from the head tube’s axis, in millimetres",
        alt=(
            "Stress along the down tube from the head tube to the shell, pushed at the front "
            "axle. It falls from 158 MPa and more at the head tube, rises to a peak where the "
            "wall gets thin, falls nearly to nothing two thirds of the way and rises a little "
            "toward the shell. With a longer butt the peak moves away from the head tube and "
            "gets lower, until the head tube's end is the highest place; a still longer butt "
            "changes nothing there."
        ),
        caption=(
            f"Harbour frame, {_loaded.FRONT:g} N back at the front axle. Wall 0.9 mm, belly 0.6 "
            f"mm, taper {TAPER:g} mm."
        ),
        width=WIDTH,
        height=HEIGHT,
        still=_still(),
        states=tuple(_state(float(b)) for b in BUTTS),
        default=int(np.flatnonzero(BUTTS == 60)[0]),
    )


def stresses(butt: float) -> tuple[np.ndarray, np.ndarray]:
    """Return places from the head tube's axis, mm, and the stress at each, MPa."""
    run = _loaded.under(_loaded.loads()["front"], _loaded.PLAIN).length("down_tube")
    parts = (SHELL, TAPER, run - SHELL - 2 * TAPER - butt, TAPER, butt)
    tube = tubes.Butted(31.8, _loaded.WALLS, parts)
    made = _loaded.under(_loaded.loads()["front"], tube, start=0.0)
    bends = butt, butt + TAPER, run - SHELL, run - SHELL - TAPER
    places = np.unique(np.r_[np.linspace(0, run, 90), bends])
    return places, made.stress("down_tube", np.clip(run - places, 0, run))


def _still() -> str:
    end = LEFT + ALONG * 629
    drawn = line([LEFT, end], [FOOT, FOOT], 0.6) + line([LEFT, LEFT], [FOOT, FOOT - UP * 210], 0.6)
    for stress in (50, 100, 150, 200):
        y = FOOT - UP * stress
        drawn += line([LEFT - 1.5, LEFT], [y, y], 0.6)
        drawn += words(LEFT - 2.5, y + 1.5, f"{stress}", "end")
    for place in (0, 200, 400, 600):
        x = LEFT + ALONG * place
        drawn += line([x, x], [FOOT, FOOT + 1.5], 0.6) + words(x, FOOT + 7, f"{place}")
    drawn += words((LEFT + end) / 2, FOOT + 15, "from the head tube’s axis (mm)")
    return drawn + words(LEFT + 3, 9, "MPa", "start")


def _state(butt: float) -> State:
    places, stress = stresses(butt)
    x, y = LEFT + ALONG * places, FOOT - UP * stress
    drawn = line(x, y, 1.0)
    for at in (butt, butt + TAPER):
        here = LEFT + ALONG * at
        drawn += line([here, here], [FOOT, FOOT - 6], 0.8)
    peak = int(np.argmax(stress))
    drawn += line([x[peak] - 2, x[peak] + 2], [y[peak], y[peak]], 1.6)
    where = "at the head tube" if peak == 0 else "where the thin wall begins"
    return State(f"{butt:g} mm: highest {where}, {stress[peak]:.0f} MPa", drawn)
